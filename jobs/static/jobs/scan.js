/* A tag or a vault by typing, by a scanner that types, or by the camera. Typing always works. */
(() => {
  "use strict";
  const form = document.querySelector("[data-scan]");
  if (!form) return;
  const said = () => document.querySelector(".scan-said");

  /* "T.77900.BLUE.017.K" and "V.V-0123.K" are printed codes; anything else is what somebody typed. */
  function subject(text) {
    const parts = text.trim().toUpperCase().split(".");
    if (parts[0] === "T" && parts.length === 5) return parts[3];
    if (parts[0] === "V" && parts.length === 3) return parts[1];
    return text.trim().toUpperCase();
  }
  function show(text) {
    const wanted = subject(text), padded = wanted.padStart(3, "0");
    document.querySelectorAll(".work > .found").forEach((line) => line.classList.remove("found", "open"));
    const lines = [...document.querySelectorAll("[data-work] > li")];
    const found = lines.find((line) => [wanted, padded].includes(line.dataset.subject?.toUpperCase()));
    said().textContent = found ? "" : document.querySelector("#scan").dataset.none;
    if (!found) return;
    found.classList.add("found", "open");
    found.scrollIntoView({ block: "center" });
    found.querySelector(".detail button")?.focus({ preventScroll: true });
  }
  document.addEventListener("submit", (event) => {
    if (!event.target.matches("[data-scan]")) return;
    event.preventDefault();
    const field = event.target.elements.code;
    if (field.value.trim()) show(field.value);
    field.select();
  });

  /* A wedge scanner types fast and ends with Enter, wherever the focus is. */
  const FAST_MS = 40, LEAST = 4;
  let typed = "", at = 0;
  document.addEventListener("keydown", (event) => {
    if (event.target.matches("input, textarea, select")) return;
    if (event.timeStamp - at > FAST_MS) typed = "";
    at = event.timeStamp;
    if (event.key === "Enter" && typed.length >= LEAST) { event.preventDefault(); show(typed); typed = ""; }
    else if (event.key.length === 1) typed += event.key;
  });

  if (!("BarcodeDetector" in window) || !navigator.mediaDevices) return;
  const reveal = () => document.querySelectorAll("[data-do=camera]").forEach((button) => { button.hidden = false; });
  reveal();
  document.addEventListener("htmx:afterSwap", reveal);
  document.addEventListener("click", async (event) => {
    if (!event.target.closest("[data-do=camera]")) return;
    const video = document.querySelector(".scan-view");
    const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    const detector = new BarcodeDetector({ formats: ["qr_code", "code_128"] });
    video.srcObject = stream;
    video.hidden = false;
    await video.play();
    const stop = () => { stream.getTracks().forEach((track) => track.stop()); video.hidden = true; };
    const look = async () => {
      if (!video.isConnected) return stop();
      const [code] = await detector.detect(video);
      if (code) { stop(); show(code.rawValue); } else requestAnimationFrame(look);
    };
    look();
  });
})();
