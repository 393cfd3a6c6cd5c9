// Passkeys: asks the browser for one, or for a new one, and sends its answer with the form. Where there are none, passwords do.
const can = "credentials" in navigator && globalThis.PublicKeyCredential?.parseRequestOptionsFromJSON;

for (const form of document.querySelectorAll("form[data-passkey]")) {
  form.hidden = !can;
  form.addEventListener("submit", async event => {
    event.preventDefault();
    const said = form.querySelector("[data-said]");
    said.textContent = "";
    try {
      const asked = await fetch(form.dataset.passkey, { method: "POST", body: new FormData(form) });
      if (!asked.ok) throw new Error(asked.status);
      const options = await asked.json();
      const credential = form.dataset.passkey.endsWith("/new")
        ? await navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(options) })
        : await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(options) });
      form.elements.Answer.value = JSON.stringify(credential);
      form.submit();
    } catch {
      said.textContent = form.dataset.fault;
    }
  });
}
