/* Keys: g and a letter goes to an area, ? lists the keys, arrows walk the strips of the Week and move a mix. */
"use strict";
(() => {
  const help = document.getElementById("keys");
  if (!help) return;
  const isOn = () => { try { return localStorage.getItem("keys") !== "off"; } catch { return true; } };
  const toggle = help.querySelector("[data-keys-on]");
  toggle.checked = isOn();
  toggle.addEventListener("change", () => { try { localStorage.setItem("keys", toggle.checked ? "on" : "off"); } catch { /* kept for this page only */ } });
  const isTyping = (element) => element.closest("input, select, textarea, [contenteditable], dialog[open]");

  let awaited = 0;
  const goes = (event) => {
    if (event.key === "g") { awaited = Date.now(); return true; }
    if (Date.now() - awaited > 1500) return false;
    awaited = 0;
    const area = document.querySelector(`.words [data-letter="${CSS.escape(event.key)}"]`);
    if (area) location.assign(area.href);
    return Boolean(area);
  };
  const walks = (event, strip) => {
    const strips = [...document.querySelectorAll("[data-strip]")];
    const step = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    const next = strips[strips.indexOf(strip) + step];
    if (step && next) { next.focus(); return true; }
    const move = event.key === "Enter" && event.target === strip && strip.querySelector("[data-move]");
    if (move) move.click();
    return Boolean(move);
  };
  /* In the move form: left and right change the day, up and down the quarter hour, Escape leaves */
  const moves = (event, form) => {
    const day = form.querySelector("select"), time = form.querySelector("input[type=time], input[data-time]");
    const dayStep = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const quarter = { ArrowUp: 15, ArrowDown: -15 }[event.key];
    if (event.key === "Escape") {
      const leave = form.querySelector("[data-leave]");
      if (leave) leave.click();
      return Boolean(leave);
    }
    if (dayStep && day && day.options[day.selectedIndex + dayStep]) {
      day.selectedIndex += dayStep;
      day.dispatchEvent(new Event("change", { bubbles: true }));
      return true;
    }
    if (quarter && time && time.value && event.target !== day) {
      const [h, m] = time.value.split(":").map(Number);
      const next = Math.min(1425, Math.max(0, Math.ceil((h * 60 + m + (quarter > 0 ? 1 : -15)) / 15) * 15));
      time.value = `${String(Math.floor(next / 60)).padStart(2, "0")}:${String(next % 60).padStart(2, "0")}`;
      time.dispatchEvent(new Event("change", { bubbles: true }));
      return true;
    }
    return false;
  };

  document.addEventListener("keydown", (event) => {
    if (!isOn() || event.ctrlKey || event.metaKey || event.altKey) return;
    const form = event.target.closest("[data-move-form]");
    if (form) { if (moves(event, form)) event.preventDefault(); return; }
    if (isTyping(event.target)) return;
    const strip = event.target.closest("[data-strip]");
    if (strip && walks(event, strip)) event.preventDefault();
    else if (event.key === "?") { help.showModal(); event.preventDefault(); }
    else if (goes(event)) event.preventDefault();
  });
  document.addEventListener("click", (event) => { if (event.target.closest("[data-keys]")) help.showModal(); });
})();
