/* The camera as a scanner, where the browser can read codes by itself; elsewhere its plate stays hidden. */
(() => {
  "use strict";
  const canRead = "BarcodeDetector" in window && navigator.mediaDevices && window.isSecureContext;
  const show = () => document.querySelectorAll("[data-camera]").forEach((plate) => { plate.hidden = !canRead; });
  let stream = null;
  const stop = () => {
    if (stream) stream.getTracks().forEach((track) => track.stop());
    stream = null;
    const box = document.getElementById("camera");
    if (box) box.hidden = true;
  };
  const look = async (detector, box, field) => {
    const video = box.querySelector("video");
    if (!stream || !video.isConnected) { stop(); return; }
    const [code] = await detector.detect(video).catch(() => []);
    if (!code) { requestAnimationFrame(() => look(detector, box, field)); return; }
    stop();
    field.value = code.rawValue;
    field.form.requestSubmit();
  };
  const start = async (plate) => {
    const box = document.getElementById("camera");
    const field = document.getElementById(plate.dataset.camera);
    const says = box.querySelector("[role=status]");
    box.hidden = false;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch (fault) {
      says.textContent = "The camera is not free, or this page may not use it. Type the mark instead.";
      return;
    }
    const video = box.querySelector("video");
    video.srcObject = stream;
    await video.play();
    says.textContent = "Hold the code of the care card before the camera.";
    look(new BarcodeDetector({ formats: ["qr_code"] }), box, field);
  };
  document.addEventListener("click", (event) => {
    const plate = event.target.closest("[data-camera]");
    if (plate) start(plate);
    else if (event.target.closest("[data-camera-close]")) stop();
  });
  document.addEventListener("htmx:afterSettle", show);
  show();
})();
