/* The Week: the move form opens under its strip, and a strip can be dragged to another hour. Both only fill the
   form in: nothing is moved before Move it is pressed. Without script Move leads to the form on a page of its own. */
"use strict";
(() => {
  const QUARTER = 15, DAY = 1440, STIR = 6;
  const pictureOf = (strip) => [...strip.querySelectorAll("svg")].find((one) => one.getBoundingClientRect().width > 0);
  const openAt = (strip, address) => {
    const link = strip.querySelector("[data-move]");
    window.htmx.ajax("GET", address || link.href, { target: link.getAttribute("hx-target"), swap: "innerHTML" });
  };

  let byTouch = false;
  document.addEventListener("pointerdown", (event) => { byTouch = event.pointerType === "touch"; }, true);
  document.addEventListener("keydown", () => { byTouch = false; }, true);

  /* One form at a time; its time has the focus, so that the arrows work at once. After a touch the form itself
     has it: a keyboard that slides in would cover what the move does. */
  document.addEventListener("htmx:afterSettle", (event) => {
    const form = event.target.closest && (event.target.querySelector("[data-move-form]") || event.target.closest("[data-move-form]"));
    if (!form || event.target.id === "move-effect") return;
    document.querySelectorAll("[data-move-form]").forEach((other) => { if (other !== form) other.remove(); });
    const first = byTouch ? form : form.querySelector("[data-time]");
    if (byTouch) form.tabIndex = -1;
    if (first) first.focus();
  });
  document.addEventListener("click", (event) => {
    const leave = event.target.closest("[data-leave]");
    const here = leave && leave.closest(".move-here");
    if (!here) return;
    event.preventDefault();
    here.replaceChildren();
    here.previousElementSibling.focus();
  });

  /* Dragging: along the days, in quarters of an hour */
  const two = (n) => String(n).padStart(2, "0");
  const minutesOf = (text) => {
    const [y, mo, d, h, m] = text.match(/\d+/g).map(Number);
    return Date.UTC(y, mo - 1, d, h, m) / 60000;
  };
  const said = (minutes) => {
    const at = new Date(minutes * 60000);
    const day = `${at.getUTCFullYear()}-${two(at.getUTCMonth() + 1)}-${two(at.getUTCDate())}`;
    return { day, time: `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}`, words: `${["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"][at.getUTCDay()]} ${at.getUTCDate()}` };
  };
  let drag = null;
  document.addEventListener("pointerdown", (event) => {
    const strip = event.target.closest("[data-starts]");
    const picture = strip && pictureOf(strip);
    if (!picture || !picture.contains(event.target) || event.button !== 0) return;
    drag = { strip, picture, x: event.clientX, pointer: event.pointerId, minutes: null };
  });
  document.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.pointer) return;
    const moved = event.clientX - drag.x;
    if (drag.minutes === null && Math.abs(moved) < STIR) return;
    if (drag.minutes === null) {
      drag.strip.classList.add("dragged");
      drag.says = document.createElement("output");
      drag.says.className = "drag-says";
      drag.strip.append(drag.says);
      drag.picture.setPointerCapture(drag.pointer);
    }
    const each = (Number(drag.strip.dataset.days) * DAY) / drag.picture.getBoundingClientRect().width;
    drag.minutes = Math.round((minutesOf(drag.strip.dataset.starts) + moved * each) / QUARTER) * QUARTER;
    const to = said(drag.minutes);
    drag.says.textContent = `${to.words}, ${to.time}`;
    event.preventDefault();
  });
  const drop = (event, isLeft) => {
    if (!drag || event.pointerId !== drag.pointer) return;
    const { strip, says, minutes } = drag;
    drag = null;
    if (minutes === null) return;
    strip.classList.remove("dragged");
    says.remove();
    if (isLeft) return;
    const to = said(minutes);
    openAt(strip, `${strip.querySelector("[data-move]").href}?day=${to.day}&at=${encodeURIComponent(to.time)}`);
  };
  document.addEventListener("pointerup", (event) => drop(event, false));
  document.addEventListener("pointercancel", (event) => drop(event, true));
})();
