/* Signing with a finger: each field keeps its strokes as points, so that paper can draw them again. */
(() => {
  "use strict";
  const form = document.querySelector("[data-sign]");
  if (!form) return;

  for (const pad of form.querySelectorAll("canvas.pad")) {
    const field = form.elements[`${pad.dataset.part}_strokes`];
    const ink = pad.getContext("2d");
    let strokes = [];
    let stroke = null;

    const at = (event) => {
      const box = pad.getBoundingClientRect();
      const x = Math.round(((event.clientX - box.left) * pad.width) / box.width);
      const y = Math.round(((event.clientY - box.top) * pad.height) / box.height);
      return [Math.min(Math.max(x, 0), pad.width), Math.min(Math.max(y, 0), pad.height)];
    };
    const begin = () => {
      ink.lineWidth = 4;
      ink.lineCap = "round";
      ink.strokeStyle = "#000";
    };
    pad.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      pad.setPointerCapture(event.pointerId);
      begin();
      stroke = [at(event)];
      strokes.push(stroke);
    });
    pad.addEventListener("pointermove", (event) => {
      if (!stroke) return;
      const point = at(event);
      ink.beginPath();
      ink.moveTo(...stroke[stroke.length - 1]);
      ink.lineTo(...point);
      ink.stroke();
      stroke.push(point);
    });
    const end = () => {
      stroke = null;
      field.value = JSON.stringify(strokes);
    };
    pad.addEventListener("pointerup", end);
    pad.addEventListener("pointercancel", end);
    form.querySelector(`[data-clear="${pad.dataset.part}"]`).addEventListener("click", () => {
      strokes = [];
      ink.clearRect(0, 0, pad.width, pad.height);
      end();
    });
  }
})();
