/* Sends the acts of the Bench and the Shelf, keeps them while there is no connection, and says what became of them. */
"use strict";
(() => {
  const shown = document.getElementById("kept"), person = document.body.dataset.person;
  if (!shown || !person || !self.keptTaps || !self.indexedDB) return;
  const taps = self.keptTaps;
  const KEPT_PATHS = /^\/(bench|shelf|undo)\//, LOOK_MS = 20000;
  const two = (n) => String(n).padStart(2, "0");
  const offset = () => Number(sessionStorage.getItem("clock-offset") || 0);
  const clock = (at) => { const when = new Date(at); return `${two(when.getHours())}:${two(when.getMinutes())}`; };
  const pathOf = (form) => new URL(form.getAttribute("action") || location.href, location.href).pathname;
  const make = (tag, words, css) => Object.assign(document.createElement(tag), { textContent: words, className: css || "" });

  /* What waits and what became of it, in words */
  const line = (tap) => {
    const row = make("div", "", tap.state === "refused" ? "said wrong" : "said"), words = make("span", "");
    const name = `${tap.words}, ${clock(tap.madeAt)}`;
    if (tap.state === "waiting") words.textContent = `${name}: kept, will be sent when the connection is back. `;
    else if (tap.state === "done") words.textContent = `${name}: sent ${clock(tap.answeredAt)}. ${tap.said}`;
    else words.textContent = `${name}: sent ${clock(tap.answeredAt)} and refused. ${tap.said}`;
    if (tap.state === "waiting" && tap.until) {
      const left = make("b", "");
      left.dataset.until = new Date(tap.until).toISOString();
      left.dataset.signal = "";
      words.append("Working time left ", left);
    }
    const plate = make("button", tap.state === "waiting" ? "Leave it out" : "Seen", "plate plain");
    plate.type = "button";
    plate.addEventListener("click", async () => { await taps.forget(tap.key); await show(); });
    row.append(words, plate);
    return row;
  };
  const show = async () => {
    const found = await taps.all();
    const mine = found.filter((tap) => tap.person === person), waiting = mine.filter((tap) => tap.state === "waiting");
    const others = found.filter((tap) => tap.person !== person && tap.state === "waiting").length;
    shown.replaceChildren(...mine.map(line));
    if (others) shown.append(make("p", `${others === 1 ? "A tap" : `${others} taps`} of somebody else stay${others === 1 ? "s" : ""} kept on this device until they sign in here again.`, "quiet"));
    document.querySelectorAll("[data-waiting]").forEach((one) => { one.textContent = waiting.length ? ` ${waiting.length} waiting.` : ""; });
    mark(waiting);
    return waiting.length;
  };
  /* Forms whose tap is kept cannot be pressed again; of steps in a row the first one left is shown. An address with a
     number in it is one thing; of others the form itself has to be the same. */
  const mark = (waiting) => {
    const keptOf = (form) => waiting.find((tap) => /\d/.test(tap.address) ? tap.address === pathOf(form) : tap.key === form.elements.request_key?.value);
    document.querySelectorAll("form[method=post]").forEach((form) => {
      const tap = keptOf(form);
      form.querySelectorAll("button").forEach((plate) => {
        if (tap && !plate.dataset.words) {
          plate.dataset.words = plate.textContent;
          plate.textContent = `Kept ${clock(tap.madeAt)}`;
          plate.setAttribute("aria-disabled", "true");
        } else if (!tap && plate.dataset.words) {
          plate.textContent = plate.dataset.words;
          delete plate.dataset.words;
          plate.removeAttribute("aria-disabled");
        }
      });
    });
    document.querySelectorAll("[data-steps]").forEach((row) => {
      const steps = [...row.children], next = steps.findIndex((step) => ![...step.querySelectorAll("form")].some(keptOf));
      steps.forEach((step, place) => { step.hidden = place !== (next < 0 ? steps.length - 1 : next); });
    });
  };

  const askedFor = (form, plate) => {
    const fields = new FormData(form);
    if (plate && plate.name) fields.append(plate.name, plate.value);
    const minutes = Number(form.dataset.workingMinutes || 0), madeAt = Date.now();
    return {
      key: form.elements.request_key.value, state: "waiting", person, madeAt,
      address: plate && plate.hasAttribute("formaction") ? new URL(plate.formAction).pathname : pathOf(form),
      body: new URLSearchParams(fields).toString(),
      words: (form.closest("[data-tap-words]")?.dataset.tapWords || plate?.textContent || "A tap").trim(),
      until: minutes ? madeAt - offset() + minutes * 60000 : 0,
    };
  };
  const sentByHand = (form, plate) => {
    if (plate && plate.name) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: plate.name, value: plate.value }));
    if (plate && plate.hasAttribute("formaction")) form.action = plate.formAction;
    HTMLFormElement.prototype.submit.call(form);
  };
  const keep = async (tap) => {
    await taps.put(tap);
    document.querySelectorAll("[data-away]").forEach((one) => { one.hidden = false; });
    const worker = await navigator.serviceWorker?.getRegistration();
    await worker?.sync?.register("kept-taps").catch(() => {});
    await show();
    shown.scrollIntoView({ block: "nearest" });
  };
  const tapped = async (form, plate) => {
    const tap = askedFor(form, plate);
    await taps.send();
    if ((await taps.all()).some((one) => one.state === "waiting" && one.person === person)) return keep(tap);
    const answer = await taps.post(tap);
    if (!answer || answer.status >= 502) return keep(tap);
    if (answer.status === 401 || answer.status === 409) {
      await keep(tap);
      return location.assign(answer.status === 401 ? `/sign-in/?next=${encodeURIComponent(location.pathname)}` : location.href);
    }
    const said = await taps.plain(answer);
    /* Anything but "go on there" is a page to be shown: the same key again brings it, and does nothing twice. */
    if (answer.ok && said && said.to) location.assign(said.to);
    else sentByHand(form, plate);
  };
  document.addEventListener("submit", (event) => {
    const form = event.target, plate = event.submitter;
    const isOurs = form.method === "post" && form.elements.request_key && !form.hasAttribute("hx-post") && form.enctype !== "multipart/form-data";
    if (event.defaultPrevented || !isOurs || !KEPT_PATHS.test(pathOf(form))) return;
    event.preventDefault();
    tapped(form, plate).catch(() => sentByHand(form, plate));
  });

  const look = async () => {
    const before = await show();
    if (!before) return;
    await taps.send();
    const left = await show();
    if (left < before) document.querySelectorAll("[data-away]").forEach((one) => { one.hidden = true; });
    if (left < before && !left) document.querySelectorAll("[data-fresh]").forEach((one) => { one.hidden = false; });
  };
  addEventListener("online", look);
  setInterval(look, LOOK_MS);
  navigator.serviceWorker?.register("/kept-taps.js").catch(() => {});
  const ahead = document.querySelector('a[href^="/bench/weigh/"]');
  if (ahead) navigator.serviceWorker?.controller?.postMessage(ahead.href);
  navigator.serviceWorker?.addEventListener("message", () => show());
  taps.tidy().then(look).catch(() => {});
  if (document.body.dataset.keptAt) document.querySelectorAll("[data-away]").forEach((one) => { one.hidden = false; });
})();
