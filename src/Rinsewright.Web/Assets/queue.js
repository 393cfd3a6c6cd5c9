// The queue of the quick log: what was logged waits here, on the phone, until the record has it. Each entry carries a key
// by which the record knows it again, so that sending it twice writes it once.
const name = "rinsewright", store = "waiting";
const longest = 20_000; // ms that an answer is waited for: one bar of signal must not hold the queue up

function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(name, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(store, { keyPath: "key" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function within(mode, work) {
  const database = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(store, mode);
      const request = work(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

/** A random UUID of version 4, where randomUUID is kept for secure contexts too. */
export function newKey() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map(b => b.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

export const add = entry => within("readwrite", s => s.put(entry));
export const kept = () => within("readonly", s => s.getAll());
export const remove = key => within("readwrite", s => s.delete(key));

async function reasonOf(answer) {
  try {
    const problem = await answer.json();
    return problem.detail || problem.title || `${answer.status}`;
  } catch {
    return `${answer.status} ${answer.statusText}`.trim();
  }
}

/** Sends what waits, oldest first. Stops where the record cannot be reached; what it refuses is kept with the reason. */
export async function send() {
  const results = [];
  for (const entry of (await kept()).sort((a, b) => a.at - b.at)) {
    if (entry.refused) continue;
    let answer;
    try {
      answer = await fetch("/api/entries", {
        method: "POST",
        headers: { "Content-Type": "application/json", "Idempotency-Key": entry.key },
        body: JSON.stringify(entry.request),
        signal: AbortSignal.timeout(longest),
      });
    } catch {
      break;
    }
    if (answer.ok) {
      await remove(entry.key);
      results.push({ key: entry.key });
    } else if ([400, 403, 413, 422].includes(answer.status)) {
      const refused = await reasonOf(answer);
      await add({ ...entry, refused });
      results.push({ key: entry.key, refused });
    } else {
      break;
    }
  }
  return results;
}
