// What makes the pages nicer where scripts run; reading, logging and asking work without it.
import { add, kept, newKey, remove, send } from "/assets/queue.js";

for (const zone of document.querySelectorAll("input[data-timezone]")) {
  zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";
}

// --- the quick log ---------------------------------------------------------------------------------------------------
const state = document.getElementById("waiting");
const refused = document.getElementById("refused");

async function showWaiting() {
  const entries = await kept();
  const count = entries.filter(e => !e.refused).length;
  state.hidden = count === 0;
  state.textContent = (count === 1 ? state.dataset.one : state.dataset.many).replace("{0}", count);
  refused.replaceChildren(...entries.filter(e => e.refused).map(entry => {
    const line = document.createElement("li");
    const said = document.createElement("span");
    const what = [entry.request.value, new Date(entry.at).toLocaleString()].filter(Boolean).join(", ");
    said.textContent = `${refused.dataset.refused} ${what}: ${entry.refused}`;
    const discard = document.createElement("button");
    discard.className = "quiet";
    discard.textContent = refused.dataset.discard;
    discard.setAttribute("aria-label", `${refused.dataset.discard}: ${what}`);
    discard.addEventListener("click", async () => {
      await remove(entry.key);
      await showWaiting();
    });
    line.append(said, " ", discard);
    return line;
  }));
  refused.hidden = refused.children.length === 0;
}

async function flush() {
  if (!state) return;
  const results = await send();
  for (const result of results) {
    const note = document.querySelector(`[data-key="${result.key}"]`);
    if (note) {
      note.className = result.refused ? "problem" : "done";
      note.textContent = result.refused ? `${note.dataset.refused} ${result.refused}` : note.dataset.written;
    }
  }
  await showWaiting();
}

for (const form of document.querySelectorAll("form[data-quick]")) {
  form.addEventListener("submit", async event => {
    event.preventDefault();
    const data = new FormData(form);
    const request = { at: new Date().toISOString() };
    for (const [name, value] of data) {
      const field = name.toLowerCase();
      if (value !== "" && ["kind", "stage", "what", "value", "temperature", "task", "place", "by"].includes(field)) {
        request[field] = value;
      }
    }
    const key = newKey();
    try {
      await add({ key, request, at: Date.now() });
    } catch {
      // Nothing can be kept on this device: it goes the way it goes without scripts.
      form.submit();
      return;
    }
    const note = document.createElement("p");
    note.dataset.key = key;
    note.dataset.written = form.dataset.written;
    note.dataset.refused = form.dataset.refused;
    note.className = "waits";
    note.setAttribute("role", "status");
    note.textContent = form.dataset.waits;
    form.before(note);
    form.reset();
    await tryFlush();
  });
}

const tryFlush = () => flush().catch(() => {});
addEventListener("online", tryFlush);
if ("serviceWorker" in navigator && isSecureContext) {
  navigator.serviceWorker.register("/worker.js").catch(() => {});
} else {
  for (const note of document.querySelectorAll("[data-insecure]")) note.hidden = false;
}
tryFlush();

// --- the live what-if ------------------------------------------------------------------------------------------------
for (const form of document.querySelectorAll("form[data-what-if]")) {
  const answer = document.querySelector(form.dataset.answer);
  let asking, later;
  const ask = async () => {
    asking?.abort();
    asking = new AbortController();
    try {
      const query = new URLSearchParams([...new FormData(form)].filter(([, value]) => value !== ""));
      const got = await fetch(`${form.dataset.whatIf}?${query}`, { signal: asking.signal });
      const said = await got.json();
      answer.textContent = said.text ?? said.detail;
    } catch (problem) {
      if (problem.name !== "AbortError") answer.textContent = form.dataset.offline;
    }
  };
  form.addEventListener("input", event => {
    const shown = event.target.nextElementSibling;
    if (shown instanceof HTMLOutputElement) shown.textContent = `${event.target.value} ${event.target.dataset.unit}`;
    clearTimeout(later);
    later = setTimeout(ask, 250);
  });
  form.addEventListener("submit", event => { event.preventDefault(); clearTimeout(later); ask(); });
}

// --- the bed picture over its life -----------------------------------------------------------------------------------
for (const slider of document.querySelectorAll("input[data-moves]")) {
  const picture = document.querySelector(`img[data-picture="${slider.dataset.moves}"]`);
  slider.addEventListener("input", () => {
    for (const source of [picture, ...picture.parentElement.querySelectorAll("source")]) {
      const attribute = source === picture ? "src" : "srcset";
      const address = new URL(source.getAttribute(attribute), location.href);
      address.searchParams.set("at", slider.value / 100);
      source.setAttribute(attribute, address.pathname + address.search);
    }
    slider.nextElementSibling.textContent = `${slider.value} %`;
  });
}

// A frame is shown when its picture is there, and never more than four a second.
for (const button of document.querySelectorAll("button[data-plays]")) {
  const slider = document.getElementById(button.dataset.plays);
  const picture = document.querySelector(`img[data-picture="${slider.dataset.moves}"]`);
  const name = button.textContent;
  let started = 0;
  let playing = 0;
  const show = () => slider.dispatchEvent(new Event("input"));
  const isAtEnd = () => slider.valueAsNumber >= Number(slider.max);
  const stop = () => {
    playing = 0;
    button.textContent = name;
  };
  const play = async () => {
    const own = playing = ++started;
    button.textContent = button.dataset.stop;
    if (isAtEnd()) {
      slider.value = slider.min;
      show();
    }
    while (true) {
      await new Promise(resolve => setTimeout(resolve, 250));
      if (playing !== own) return;
      slider.stepUp();
      const shown = new Promise(resolve => {
        for (const end of ["load", "error"]) picture.addEventListener(end, resolve, { once: true });
      });
      show();
      await shown;
      if (playing === own && isAtEnd()) stop();
    }
  };
  button.hidden = false;
  button.addEventListener("click", () => (playing ? stop() : play()));
}

// --- a forecast that is being sharpened: the parts that it changes are fetched when it is ready ------------------------
async function sharpen() {
  if (!document.querySelector("[data-sharpening]")) return;
  await new Promise(resolve => setTimeout(resolve, 1500));
  try {
    const page = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html");
    for (const part of document.querySelectorAll("[data-live]")) {
      const fresh = page.getElementById(part.id);
      if (!fresh || part.contains(document.activeElement) || part.outerHTML === fresh.outerHTML) continue;
      const open = [...part.querySelectorAll("details")].map(d => d.open);
      fresh.querySelectorAll("details").forEach((d, i) => { d.open = open[i] ?? false; });
      part.replaceWith(fresh);
    }
  } catch {
    // No connection: what stands there stays, and the next page asks again.
    return;
  }
  sharpen();
}
sharpen();
