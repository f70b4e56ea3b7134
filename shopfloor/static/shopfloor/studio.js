/* What the device itself does: clocks, a short tone, sums of scale readings, the guard against a second tap.
   Pages work without it. Nothing here decides anything: the server does. Keys are in keys.js. */
"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("scripted");
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const kept = (name) => { try { return localStorage.getItem(name); } catch { return null; } };
  const keep = (name, value) => { try { localStorage.setItem(name, value); } catch { /* private window: kept until the page goes */ } };

  /* The server's time, by the offset of the device's clock when the page came. A page brought back by the
     back button is old: then the offset found before is used. */
  const said = document.body.dataset.now || "";
  const isOldPage = (performance.getEntriesByType("navigation")[0] || {}).type === "back_forward";
  const before = sessionStorage.getItem("clock-offset");
  const offset = isOldPage && before !== null ? Number(before) : said ? Date.now() - Date.parse(said) : 0;
  sessionStorage.setItem("clock-offset", offset);
  const now = () => Date.now() - offset;
  /* minutes between UTC and the studio's zone, out of the ISO text: +01:00 */
  const zone = /([+-])(\d\d):(\d\d)$/.exec(said);
  const zoneMinutes = zone ? (zone[1] === "-" ? -1 : 1) * (zone[2] * 60 + +zone[3]) : 0;

  const two = (n) => String(n).padStart(2, "0");
  const clock = (seconds) => {
    const s = Math.abs(seconds), h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60;
    return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
  };
  const minutes = (seconds) => {
    const m = Math.max(1, Math.round(Math.abs(seconds) / 60));
    const words = m < 60 ? `${m} min` : `${Math.floor(m / 60)} h ${two(m % 60)}`;
    return seconds >= 0 ? `in ${words}` : `${words} ago`;
  };
  const write = (element, text) => { if (element.textContent !== text) element.textContent = text; };

  /* One short tone and one buzz at 5:00, 2:00 and 0:00 left, once each, on any page; both can be off. */
  const SIGNALS = [300, 120, 0];
  let audio = null;
  const isLoud = () => kept("sound") !== "off";
  addEventListener("pointerdown", () => {
    if (isLoud() && !audio && window.AudioContext) audio = new AudioContext();
    if (audio && audio.state === "suspended") audio.resume();
  });
  const signal = (left) => {
    if (!isLoud()) return;
    /* A page that was never touched may not buzz, and trying is a fault in the console. */
    const isTouched = !navigator.userActivation || navigator.userActivation.hasBeenActive;
    if (navigator.vibrate && isTouched) navigator.vibrate(left ? 300 : [400, 150, 400]);
    if (!audio) return;
    const tone = audio.createOscillator(), level = audio.createGain();
    tone.frequency.value = left ? 660 : 440;
    level.gain.setValueAtTime(0.25, audio.currentTime);
    level.gain.exponentialRampToValueAtTime(0.001, audio.currentTime + 0.6);
    tone.connect(level).connect(audio.destination);
    tone.start();
    tone.stop(audio.currentTime + 0.6);
  };
  const watch = (until, left) => {
    const name = `left ${until}`;
    const last = Number(sessionStorage.getItem(name) ?? left);
    if (SIGNALS.some((at) => last > at && left <= at)) signal(Math.max(0, left));
    sessionStorage.setItem(name, left);
  };

  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const moveMark = (panel, left) => all("[data-mark]", panel).forEach((mark) => {
    const [start, width, total] = mark.dataset.mark.split(" ").map(Number);
    const used = Math.min(total, Math.max(0, total - left));
    const steps = calm.matches ? Math.floor(used / 15) * 15 : used;
    mark.setAttribute("transform", `translate(${(start + (steps / total) * width).toFixed(1)} 0)`);
  });
  const tick = () => {
    const present = now();
    const leftOf = (iso) => Math.trunc((Date.parse(iso) - present) / 1000);
    const watched = new Set();
    all("[data-until]").forEach((one) => {
      const left = leftOf(one.dataset.until);
      write(one, one.dataset.form === "minutes" ? minutes(left) : clock(left));
      one.classList.toggle("past", left < 0);
      if ("signal" in one.dataset && !watched.has(one.dataset.until)) watch(one.dataset.until, left);
      if ("signal" in one.dataset) watched.add(one.dataset.until);
    });
    all("[data-since]").forEach((one) => {
      const gone = -leftOf(one.dataset.since);
      write(one, one.dataset.form === "minutes" ? minutes(-gone) : clock(gone));
    });
    all("[data-panel-until]").forEach((panel) => {
      const left = leftOf(panel.dataset.panelUntil);
      panel.classList.toggle("closing", left <= 120 && left > 0);
      panel.classList.toggle("over", left <= 0);
      moveMark(panel, left);
    });
    const wall = new Date(present + zoneMinutes * 60000);
    all("[data-clock]").forEach((one) => write(one, `${two(wall.getUTCHours())}:${two(wall.getUTCMinutes())}`));
  };
  if (said) { tick(); setInterval(tick, 1000); }

  /* A form taken twice within 2 s counts once. Drawn anew it has a new request key and is another act, so what
     comes next is never dropped; the server knows a repeated key too. */
  const taps = new WeakMap();
  document.addEventListener("submit", (event) => {
    const form = event.target, plate = event.submitter;
    const isWaiting = plate && plate.getAttribute("aria-disabled") === "true";
    const isRepeated = form.method === "post" && Date.now() - (taps.get(form) ?? 0) < 2000;
    if (isWaiting || isRepeated) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else taps.set(form, Date.now());
  }, true);

  /* Running sums: data-sum="before - after - lumps" names fields of the form. Figures are read as the server reads
     them; where it is not sure (a unit was typed, or nonsense) nothing is shown and the server says. */
  const reading = (field) => {
    const text = (field ? field.value : "").replace(/[\s\u00a0\u202f\u2009]/g, "");
    if (!text) return null;
    if (/^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/.test(text)) return Number(text.replaceAll(",", ""));
    if (/^[1-9]\d{0,2}((\.\d{3})+,\d+|(\.\d{3}){2,})$/.test(text)) return Number(text.replaceAll(".", "").replace(",", "."));
    return /^(\d+[.,]?\d*|[.,]\d+)$/.test(text) ? Number(text.replace(",", ".")) : NaN;
  };
  const sums = (form) => all("[data-sum]", form).forEach((output) => {
    const terms = output.dataset.sum.match(/[+-]?\s*[\w-]*\w/g) || [];
    let total = 0, isKnown = true;
    terms.forEach((term, place) => {
      const [, sign, name] = /^([+-]?)\s*(.+)$/.exec(term);
      const value = reading(form.elements[name]);
      if (value === null && place === 0) isKnown = false;
      total += (sign === "-" ? -1 : 1) * (value ?? 0);
    });
    write(output, isKnown && Number.isFinite(total) ? total.toFixed(Number(output.dataset.places ?? 2)) : "");
  });
  document.addEventListener("input", (event) => { if (event.target.form) sums(event.target.form); });

  /* A scanner ends what it typed with Enter: that goes on to the next field, and does not send the form half filled. */
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("[data-enter-goes-on]")) return;
    event.preventDefault();
    const fields = [...event.target.form.elements].filter((field) => field.type !== "hidden" && !field.disabled);
    fields[fields.indexOf(event.target) + 1]?.focus();
  });

  /* After a refusal the first wrong field has the focus; a packing page keeps it on the field of the scanner. */
  const settle = (within) => {
    all("form", within).forEach(sums);
    const wrong = within.querySelector("[aria-invalid='true'], .err[tabindex]");
    const scan = within.querySelector("[data-scan]");
    if (wrong) wrong.focus();
    else if (scan && document.activeElement === document.body) scan.focus({ preventScroll: true });
  };
  document.addEventListener("keydown", (event) => {
    const scan = event.target.closest && event.target.closest("[data-scan]");
    if (!scan || event.key !== "Enter") return;
    const mark = scan.value.trim().toUpperCase().split("/").pop();
    const box = all("[data-mark-of]").find((one) => one.dataset.markOf === mark);
    if (!box || box.checked) return;
    event.preventDefault();
    scan.value = "";
    box.click();
  });

  /* Switches of this device, and printing */
  const cookie = (value) => { document.cookie = `bench=${value};path=/;max-age=31536000;samesite=lax`; };
  const showSwitches = () => {
    const light = root.dataset.bench || "light";
    all("[data-bench-light]").forEach((one) => one.setAttribute("aria-pressed", one.dataset.benchLight === light));
    all("[data-sound]").forEach((one) => one.setAttribute("aria-pressed", isLoud()));
  };
  document.addEventListener("click", (event) => {
    const at = (selector) => event.target.closest(selector);
    if (at("[data-bench-light]")) {
      root.dataset.bench = at("[data-bench-light]").dataset.benchLight;
      cookie(root.dataset.bench);
      showSwitches();
    } else if (at("[data-sound]")) {
      keep("sound", isLoud() ? "off" : "on");
      showSwitches();
    } else if (at("[data-print]")) print();
    const areas = document.querySelector(".thumb details[open]");
    if (areas && !areas.contains(event.target)) areas.open = false;
  });

  /* Notices look again by themselves, but a page that is being touched does not move under the finger. */
  const CALM_MS = 4000;
  let touchedAt = 0;
  ["pointerdown", "keydown", "scroll"].forEach((kind) => addEventListener(kind, () => { touchedAt = Date.now(); }, { capture: true, passive: true }));
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target.id === "notices" && (document.hidden || Date.now() - touchedAt < CALM_MS)) event.preventDefault();
  });
  document.addEventListener("visibilitychange", () => {
    const notices = document.getElementById("notices");
    if (notices && !document.hidden) htmx.trigger(notices, "look");
  });

  const away = (isAway) => all("[data-away]").forEach((line) => { line.hidden = !isAway; });
  addEventListener("online", () => away(false));
  addEventListener("offline", () => away(true));
  document.addEventListener("htmx:sendError", () => away(true));
  document.addEventListener("htmx:afterRequest", (event) => { if (event.detail.xhr && event.detail.xhr.status) away(false); });
  document.addEventListener("htmx:afterSettle", (event) => { settle(event.target); showSwitches(); if (said) tick(); });
  showSwitches();
  settle(document);
})();
