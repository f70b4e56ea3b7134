/* Taps that the device keeps while there is no connection, and sends once when it is back. Read by the pages and by the
   service worker: both work on the same rows. Each tap has the request key of its form, so that one sent twice counts once. */
"use strict";
(() => {
  const STORE = "taps", FORM = "application/x-www-form-urlencoded";
  const PATIENCE_MS = 8000, DONE_SHOWN_MS = 12 * 3600000;
  let opened = null;
  const open = () => opened ??= new Promise((found, failed) => {
    const asked = indexedDB.open("shopfloor-kept", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "key" });
    asked.onsuccess = () => found(asked.result);
    asked.onerror = () => { opened = null; failed(asked.error); };
  });
  const inStore = async (mode, act) => {
    const base = await open();
    return new Promise((found, failed) => {
      const turn = base.transaction(STORE, mode), asked = act(turn.objectStore(STORE));
      turn.oncomplete = () => found(asked.result);
      turn.onabort = turn.onerror = () => failed(turn.error);
    });
  };
  const put = (tap) => inStore("readwrite", (rows) => rows.put(tap));
  const forget = (key) => inStore("readwrite", (rows) => rows.delete(key));
  const all = async () => (await inStore("readonly", (rows) => rows.getAll())).sort((a, b) => a.madeAt - b.madeAt);

  /* One request; null when no answer came. `who` is whoever is signed in, with the token of that session. */
  const ask = async (address, options = {}) => {
    try {
      return await fetch(address, { credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout(PATIENCE_MS), ...options });
    } catch { return null; }
  };
  const post = (tap, headers = {}) => ask(tap.address, {
    method: "POST", body: tap.body,
    headers: { "Content-Type": FORM, "Tap-Age": Math.max(0, (Date.now() - tap.madeAt) / 1000).toFixed(1), "Tap-For": tap.person, ...headers },
  });
  const plain = async (answer) => answer && (answer.headers.get("Content-Type") || "").startsWith("application/json") ? answer.json() : null;
  const who = async () => plain(await ask("/kept/who/", { cache: "no-store" }));

  const settle = async (tap, answer) => {
    const said = await plain(answer);
    if (answer.status === 401 || answer.status === 409 || answer.status === 403 || answer.status >= 500) return false;
    await put({ ...tap, body: "", state: said && !said.refused ? "done" : "refused", answeredAt: Date.now(),
      said: said ? said.said : "The studio has no such page any more. Open the Bench and look." });
    return true;
  };
  const sendInTurn = async () => {
    let waiting = (await all()).filter((tap) => tap.state === "waiting");
    if (!waiting.length) return;
    const here = await who();
    if (!here || !here.person) return;
    waiting = waiting.filter((tap) => tap.person === here.person);
    for (const tap of waiting) {
      const answer = await post(tap, { "X-CSRFToken": here.csrf, "Tap-Late": "1" });
      if (!answer || !await settle(tap, answer)) return;
    }
  };
  /* One page or worker at a time; the others find nothing left to send. */
  const send = () => self.navigator.locks ? navigator.locks.request("kept taps", sendInTurn) : sendInTurn();
  const tidy = async () => {
    for (const tap of await all()) if (tap.state === "done" && Date.now() - tap.answeredAt > DONE_SHOWN_MS) await forget(tap.key);
  };
  self.keptTaps = { put, forget, all, post, plain, send, tidy };
})();
