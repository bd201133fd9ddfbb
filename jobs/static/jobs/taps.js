/* A tap in the tier's picture: where a piece stands that was placed elsewhere, or a gap to fill. */
(() => {
  "use strict";
  const $ = (sign, within = document) => within.querySelector(sign);
  const $$ = (sign, within = document) => [...within.querySelectorAll(sign)];

  document.addEventListener("click", ({ target }) => {
    const pressed = target.closest("[data-do]");
    if (pressed?.dataset.do === "elsewhere") tapOn($("#elsewhere"), pressed.dataset.tag);
    if (pressed?.dataset.do === "gap") tapOn($("#gap"), "");
  });

  function tapOn(dialog, tag) {
    const tap = $("[data-tap]", dialog), figure = $(".drawn figure");
    tap.replaceChildren($("svg", figure).cloneNode(true));
    Object.assign(tap.dataset, figure.dataset, { tag });
    $$(".what, .tapped, .gap-found", dialog).forEach((part) => { part.textContent = part.matches(".what") ? tag : ""; });
    $$("input[name=event]", dialog).forEach((field) => { field.value = ""; });
    $$("button.primary", dialog).forEach((button) => { button.disabled = true; });
    dialog.showModal();
  }
  function lengthSaid(mm, units) {
    if (units !== "imperial") return `${Math.round(mm / 10)} cm`;
    const inches = Math.round(mm / 25.4);
    return inches >= 12 ? `${Math.floor(inches / 12)} ft ${inches % 12} in` : `${inches} in`;
  }
  /* The point in the truck, in millimetres from the left wall and above the deck. */
  function tapped(tap, click) {
    const scene = $(".scene", tap), width = Number(tap.dataset.width), height = Number(tap.dataset.height);
    const at = new DOMPoint(click.clientX, click.clientY).matrixTransform(scene.getScreenCTM().inverse());
    const within = (value, most) => Math.round(Math.min(Math.max(value, 0), most));
    const y = within(at.x, width), z = within(height - at.y, height);
    $(".tap-mark", scene)?.remove();
    const cross = document.createElementNS("http://www.w3.org/2000/svg", "path");
    cross.setAttribute("class", "tap-mark");
    cross.setAttribute("d", `M${y - 90} ${height - z}h180M${y} ${height - z - 90}v180`);
    scene.append(cross);
    return { y, z };
  }
  document.addEventListener("click", (click) => {
    const tap = click.target.closest("[data-tap]");
    if (!tap) return;
    const dialog = tap.closest("dialog"), { y, z } = tapped(tap, click);
    if (dialog.id === "gap") showFits(dialog, y, z);
    else placedAt(dialog, tap.dataset.tag, y, z);
  });
  function placedAt(dialog, tag, y, z) {
    const payload = { tag, tier: Number(dialog.dataset.tier), x_mm: null, y_mm: y, z_mm: z }, said = $(".tapped", dialog);
    $("input[name=event]", dialog).value = JSON.stringify({ kind: "piece_loaded_elsewhere", payload });
    said.textContent = said.dataset.said.replace("{left}", lengthSaid(y, said.dataset.units)).replace("{up}", lengthSaid(z, said.dataset.units));
    $("button.primary", dialog).disabled = false;
  }
  async function showFits(dialog, y, z) {
    const found = $(".gap-found", dialog);
    try {
      const answer = await fetch(`${dialog.dataset.fits}?tier=${dialog.dataset.tier}&y=${y}&z=${z}`);
      if (!answer.ok) throw new Error(String(answer.status));
      found.innerHTML = await answer.text();
    } catch {
      found.textContent = found.dataset.none;
    }
  }
})();
