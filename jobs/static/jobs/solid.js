/* The load as a body that turns: boxes drawn back to front, in plain SVG. */
(() => {
  "use strict";
  const part = document.querySelector("[data-solid]");
  if (!part) return;
  const room = JSON.parse(document.getElementById("solid-room").textContent);
  const bodies = JSON.parse(document.getElementById("solid-bodies").textContent);
  const picture = part.querySelector("svg"), said = part.querySelector(".solid-said");
  const [step, turn, tilt] = ["step", "turn", "tilt"].map((name) => part.querySelector(`.solid-${name}`));
  part.hidden = false;
  step.max = bodies.length;
  step.value = bodies.length;

  const corner = (at, size, n) => [0, 1, 2].map((axis) => at[axis] + (n >> axis & 1) * size[axis]);
  const FACES = [[0, 1, 3, 2, 2, -1], [4, 5, 7, 6, 2, 1], [0, 1, 5, 4, 1, -1], [2, 3, 7, 6, 1, 1], [0, 2, 6, 4, 0, -1], [1, 3, 7, 5, 0, 1]];
  const SHADES = ["#e3ded2", "#cfc9bb", "#b9b3a5"];

  function eye() {
    const a = turn.value * Math.PI / 180, b = tilt.value * Math.PI / 180;
    const right = [Math.sin(a), Math.cos(a), 0];
    const toward = [Math.cos(a) * Math.cos(b), -Math.sin(a) * Math.cos(b), Math.sin(b)];
    const up = [-Math.cos(a) * Math.sin(b), Math.sin(a) * Math.sin(b), Math.cos(b)];
    return { right, up, toward };
  }
  const dot = (p, q) => p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
  const middle = room.map((length) => length / 2);
  const span = Math.hypot(...room);
  function flat(point, view) {
    const from = point.map((value, axis) => value - middle[axis]);
    return [500 + 960 * dot(from, view.right) / span, 320 - 960 * dot(from, view.up) / span];
  }
  const path = (points) => `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`;

  /* A box is behind another when a plane between them has it on the far side (boxes never overlap). */
  function isBehind(p, q, view) {
    for (let axis = 0; axis < 3; axis += 1) {
      if (p.at[axis] + p.size[axis] <= q.at[axis] + 1) return view.toward[axis] > 0;
      if (q.at[axis] + q.size[axis] <= p.at[axis] + 1) return view.toward[axis] < 0;
    }
    return false;
  }
  function ordered(shown, view) {
    const left = [...shown], drawn = [];
    while (left.length) {
      let n = left.findIndex((one) => !left.some((other) => other !== one && isBehind(other, one, view)));
      if (n < 0) n = 0;
      drawn.push(...left.splice(n, 1));
    }
    return drawn;
  }
  function box(one, view, isLast) {
    return FACES.filter(([, , , , axis, side]) => view.toward[axis] * side > 0).map(([a, b, c, d, axis]) => {
      const points = [a, b, c, d].map((n) => flat(corner(one.at, one.size, n), view));
      const fill = one.kind === "fill" ? "url(#roll)" : isLast ? "#fff3c4" : SHADES[axis === 2 ? 0 : axis];
      return `<path d="${path(points)}" fill="${fill}" stroke="#222" stroke-width="${isLast ? 3.5 : 1.2}" stroke-linejoin="round"/>`;
    }).join("");
  }
  function draw() {
    const view = eye(), count = Number(step.value), shown = bodies.slice(0, count);
    const outer = [0, 1, 3, 2].map((n) => flat(corner([0, 0, 0], room, n), view));
    const last = shown.at(-1);
    const ends = [...Array(8).keys()].map((n) => flat(corner([0, 0, 0], room, n), view));
    const [left, top] = [0, 1].map((axis) => Math.min(...ends.map((point) => point[axis])) - 8);
    const [right, bottom] = [0, 1].map((axis) => Math.max(...ends.map((point) => point[axis])) + 8);
    picture.setAttribute("viewBox", `${left} ${top} ${right - left} ${bottom - top}`);
    picture.innerHTML = `<defs><pattern id="roll" width="8" height="8" patternUnits="userSpaceOnUse"><rect width="8" height="8" fill="#f1f1f1"/><path d="M0 8L8 0" stroke="#777"/></pattern></defs>`
      + `<path d="${path(outer)}" fill="#f0ede4" stroke="#222" stroke-width="2"/>`
      + ordered(shown, view).map((one) => box(one, view, one === last)).join("");
    said.textContent = last ? part.dataset.said.replace("{n}", count).replace("{all}", bodies.length).replace("{name}", last.name).replace("{tier}", last.tier) : "";
  }
  part.addEventListener("input", draw);
  part.addEventListener("click", ({ target }) => {
    if (!target.dataset.step) return;
    step.value = Number(step.value) + Number(target.dataset.step);
    draw();
  });
  let held = null;
  picture.addEventListener("pointerdown", (event) => { held = event.clientX; picture.setPointerCapture(event.pointerId); });
  picture.addEventListener("pointermove", (event) => {
    if (held === null) return;
    turn.value = Number(turn.value) + (event.clientX - held) / 2;
    held = event.clientX;
    draw();
  });
  picture.addEventListener("pointerup", () => { held = null; });
  draw();
})();
