/* A tag or a vault by typing, by a scanner that types, or by the camera. Typing always works. */
(() => {
  "use strict";
  const form = () => document.querySelector("[data-scan]");
  const say = (text) => { form().querySelector(".scan-said").textContent = text; };

  /* "T.77900.BLUE.017.K" and "V.V-0123.K" are printed codes; anything else is what somebody typed. */
  function subject(text) {
    const parts = text.trim().toUpperCase().split(".");
    const at = { T5: 3, V3: 1 }[parts[0] + parts.length];
    if (!at) return text.trim().toUpperCase();
    return checkOf(parts.slice(0, -1).join("")) === parts.at(-1) ? decodeURIComponent(parts[at]) : null;
  }
  /* The last sign of a printed code: ISO 7064, MOD 37,36, over digits and letters. */
  const SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
  function checkOf(text) {
    const values = [...text].map((sign) => SIGNS.indexOf(sign)).filter((value) => value >= 0);
    const product = values.reduce((before, value) => ((((before + value) % 36) || 36) * 2) % 37, 36);
    return SIGNS[(37 - product) % 36];
  }
  function show(text) {
    const wanted = subject(text), padded = wanted?.padStart(3, "0");
    if (wanted === null) { say(`${text.trim()}: ${form().dataset.mistyped}`); return; }
    document.querySelectorAll(".work > .found").forEach((line) => line.classList.remove("found", "open"));
    const lines = [...document.querySelectorAll("[data-work] > li")];
    const found = lines.find((line) => [wanted, padded].includes(line.dataset.subject?.toUpperCase()));
    say(found ? "" : `${wanted}: ${form().dataset.none}`);
    if (!found) return;
    found.classList.add("found", "open");
    found.scrollIntoView({ block: "center" });
    found.querySelector(".detail button.primary")?.focus({ preventScroll: true });
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
    if (!form() || event.target.matches("input, textarea, select")) return;
    if (event.timeStamp - at > FAST_MS) typed = "";
    at = event.timeStamp;
    if (event.key === "Enter" && typed.length >= LEAST) { event.preventDefault(); show(typed); typed = ""; }
    else if (event.key.length === 1) typed += event.key;
  });

  /* The camera, with the browser's own reader; where there is none, with ours, which is fetched
     when it is first wanted and reads QR codes only. */
  const LOOK_EVERY_MS = 120;
  let stream = null;
  async function reader() {
    const wanted = ["qr_code", "code_128"];
    const known = "BarcodeDetector" in window ? await BarcodeDetector.getSupportedFormats() : [];
    const formats = wanted.filter((format) => known.includes(format));
    if (formats.includes("qr_code")) return new BarcodeDetector({ formats });
    const ours = await import(form().dataset.reader);
    return new ours.BarcodeDetector({ formats: ["qr_code"] });
  }
  function opened(video, isOpen) {
    video.hidden = !isOpen;
    form().querySelector("[data-do=camera]").setAttribute("aria-pressed", String(isOpen));
  }
  function stop() {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    const video = form()?.querySelector(".scan-view");
    if (video) opened(video, false);
  }
  async function look(detector, video) {
    if (!stream || !video.isConnected) return stop();
    const [code] = video.readyState < 2 ? [] : await detector.detect(video);
    if (!stream) return;
    if (!code) { setTimeout(() => look(detector, video).catch(fail), LOOK_EVERY_MS); return; }
    stop();
    show(code.rawValue);
  }
  function fail() { stop(); say(form().dataset.noCamera); }
  async function start() {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    /* Looked up only now: the part may have been fetched anew while leave was asked for. */
    const video = form().querySelector(".scan-view");
    video.srcObject = stream;
    opened(video, true);
    const detector = await reader();
    await video.play();
    await look(detector, video);
  }
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-do=camera]")) return;
    if (stream) stop(); else start().catch(fail);
  });
  const reveal = () => document.querySelectorAll("[data-do=camera]").forEach((button) => { button.hidden = !navigator.mediaDevices; });
  reveal();
  document.addEventListener("htmx:afterSwap", reveal);
})();
