/* The pages of the floor: buttons become events in the outbox, the part of the page that has
   changed is fetched anew, and what is not sent yet is marked. Without this script the same
   buttons send forms. */
(() => {
  "use strict";
  const $ = (sign, within = document) => within.querySelector(sign);
  const $$ = (sign, within = document) => [...within.querySelectorAll(sign)];
  const board = () => $("#board");

  /* ── Buttons ── */
  /* Every `event` field is one event; the form's other fields complete the payloads that lack them. */
  function eventsOf(form) {
    const data = new FormData(form), more = {};
    for (const [name, value] of data) {
      if (["event", "uuid", "next", "csrfmiddlewaretoken"].includes(name) || value === "") continue;
      const field = form.elements[name];
      more[name] = field.type === "number" ? Number(value) : value;
    }
    return data.getAll("event").filter(Boolean).map((text) => {
      const event = JSON.parse(text);
      return { kind: event.kind, payload: { ...more, ...event.payload } };
    });
  }
  const jobOf = (form) => (form.action.match(/jobs\/([0-9a-f-]{36})\//) || [])[1];

  document.addEventListener("submit", (submitted) => {
    const form = submitted.target;
    if (form.closest(".who")) navigator.serviceWorker?.controller?.postMessage("forget");
    if (!form.matches("form[data-tell]") || !window.indexedDB) return;
    submitted.preventDefault();
    $$("button", form).forEach((button) => { button.disabled = true; });
    const dialog = form.closest("dialog");
    Outbox.push(jobOf(form), eventsOf(form)).then(() => {
      if (dialog) dialog.close();
      mark();
      $$("button", form).forEach((button) => { button.disabled = false; });
    });
  });

  /* ── What is not sent, what came back ── */
  const SUBJECTS = ["tag", "vault", "fill", "tier", "task"];
  const subjectOf = (event) => String(event.payload[SUBJECTS.find((name) => name in event.payload)] ?? "");
  let unsent = 0;
  const FINISHES = { piece_loaded_elsewhere: "piece_loaded" };

  async function mark() {
    const kept = await Outbox.waiting();
    for (const { event } of kept) {
      for (const line of $$(`[data-subject="${CSS.escape(subjectOf(event))}"]`)) {
        if (!$(".unsent-mark", line)) ($(".head, h1", line) || line).append($("#unsent-mark").content.cloneNode(true));
        if (line.dataset.finish === (FINISHES[event.kind] || event.kind)) line.classList.add("told");
      }
    }
    if (unsent && !kept.length) refresh();
    unsent = kept.length;
    advance();
    showNet(kept.length, await Outbox.told());
  }

  /* The first that is not done is now, the two after it are next; also without the server. */
  function advance() {
    for (const list of $$("[data-work]")) {
      const left = $$(":scope > li", list).filter((line) => !line.matches(".in, .cannot, .told, .none"));
      left.forEach((line, n) => {
        line.classList.toggle("now", n === 0);
        line.classList.toggle("next", n === 1 || n === 2);
        line.classList.toggle("later", n > 2);
      });
      $$(":scope > .told", list).forEach((line) => line.classList.remove("now", "next", "later"));
      for (const line of $$(":scope > [data-picture]", list)) {
        const drawn = $(`.drawn [data-key="${CSS.escape(line.dataset.picture)}"]`);
        const state = ["in", "cannot", "now", "next", "later"].find((name) => line.classList.contains(name)) || "in";
        if (drawn) drawn.setAttribute("class", drawn.getAttribute("class").replace(/is-\w+/, `is-${state}`));
      }
    }
  }

  function showNet(count, told) {
    const net = $(".net");
    if (!net) return;
    const state = Outbox.state(), off = state === "off" || !navigator.onLine;
    $(".net-count", net).textContent = count;
    $(".net-waiting", net).hidden = !count;
    $(".net-signin", net).hidden = state !== "sign-in";
    $(".net-signin a", net).href = document.body.dataset.signIn;
    $(".net-off", net).hidden = !off;
    $(".net-ended", net).hidden = state !== "ended";
    $(".net-told", net).replaceChildren(...told.map(toldLine));
    net.hidden = !count && !off && !told.length && state !== "ended";
  }
  function toldLine(one) {
    const line = $(`#said-${one.answer.answer}`).content.cloneNode(true).firstElementChild;
    $(".what", line).textContent = `${one.event.kind.replaceAll("_", " ")} ${subjectOf(one.event)}`;
    const why = $(".why", line);
    if (why) why.textContent = one.answer.said || one.answer.detail || one.answer.code;
    $("button", line).onclick = () => Outbox.forget(one.uuid);
    return line;
  }
  document.addEventListener("outbox", mark);
  addEventListener("offline", mark);

  /* ── The part that changed ── */
  let asked = 0, stale = false;
  const isBusy = () => {
    const at = document.activeElement;
    return $("dialog[open]") || (at && at.matches("#board input:not([type=checkbox]), #board textarea") && at.value !== at.defaultValue);
  };
  function refresh() {
    if (!board()) return;
    if (isBusy()) { stale = true; return; }
    stale = false;
    clearTimeout(asked);
    asked = setTimeout(fetchPart, 30);
  }
  function fetchPart() {
    const opened = $$("details[open][id]", board()).map((one) => one.id);
    const shut = $$("details[id]:not([open])", board()).map((one) => one.id);
    const focus = document.activeElement && document.activeElement.id;
    htmx.ajax("GET", board().dataset.address, { target: "#board", swap: "innerHTML" }).then(() => {
      opened.forEach((id) => { const one = document.getElementById(id); if (one) one.open = true; });
      shut.forEach((id) => { const one = document.getElementById(id); if (one) one.open = false; });
      if (focus && document.getElementById(focus)) document.getElementById(focus).focus({ preventScroll: true });
      mark();
    }).catch(() => {});
  }
  document.addEventListener("live", ({ detail }) => {
    if (detail.kind === "open" || detail.kind === "broken") return;
    const wanted = board() && board().dataset.live;
    if (detail.kind === "lost" || wanted === "any" || wanted === detail.job) refresh();
  });
  document.addEventListener("focusout", () => stale && setTimeout(refresh, 300));
  document.addEventListener("close", () => stale && refresh(), true);

  /* ── Small things ── */
  function ground(next) {
    const root = document.documentElement;
    if (next) {
      const dark = root.dataset.ground ? root.dataset.ground === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
      localStorage.setItem("ground", dark ? "light" : "dark");
    }
    const kept = localStorage.getItem("ground");
    if (kept) root.dataset.ground = kept;
  }
  ground(false);

  document.addEventListener("click", (click) => {
    const pressed = click.target.closest("[data-do]");
    const head = click.target.closest("[data-work] > li:not(.now) > .head");
    if (head && head.parentElement.querySelector(".detail")) head.parentElement.classList.toggle("open");
    if (!pressed) return;
    if (pressed.dataset.do === "ground") ground(true);
    if (pressed.dataset.do === "close") pressed.closest("dialog").close();
    if (pressed.dataset.do === "elsewhere") elsewhere(pressed.dataset.tag);
  });

  /* ── Placed elsewhere: a tap in the picture and a posture ── */
  function elsewhere(tag) {
    const dialog = $("#elsewhere"), tap = $("[data-tap]", dialog), figure = $(".drawn figure");
    $(".what", dialog).textContent = tag;
    tap.replaceChildren($("svg", figure).cloneNode(true));
    Object.assign(tap.dataset, figure.dataset, { tag });
    $("input[name=event]", dialog).value = "";
    $("button.primary", dialog).disabled = true;
    $(".tapped", dialog).textContent = "";
    dialog.showModal();
  }
  function lengthSaid(mm, units) {
    if (units !== "imperial") return `${Math.round(mm / 10)} cm`;
    const inches = Math.round(mm / 25.4);
    return inches >= 12 ? `${Math.floor(inches / 12)} ft ${inches % 12} in` : `${inches} in`;
  }
  document.addEventListener("click", (click) => {
    const tap = click.target.closest("[data-tap]");
    if (!tap) return;
    const scene = $(".scene", tap), dialog = tap.closest("dialog"), said = $(".tapped", dialog);
    const at = new DOMPoint(click.clientX, click.clientY).matrixTransform(scene.getScreenCTM().inverse());
    const width = Number(tap.dataset.width), height = Number(tap.dataset.height);
    const y = Math.round(Math.min(Math.max(at.x, 0), width)), z = Math.round(Math.min(Math.max(height - at.y, 0), height));
    $(".tap-mark", scene)?.remove();
    const cross = document.createElementNS("http://www.w3.org/2000/svg", "path");
    cross.setAttribute("class", "tap-mark");
    cross.setAttribute("d", `M${y - 90} ${height - z}h180M${y} ${height - z - 90}v180`);
    cross.setAttribute("stroke", "#b00020");
    cross.setAttribute("stroke-width", "26");
    scene.append(cross);
    const payload = { tag: tap.dataset.tag, tier: Number(dialog.dataset.tier), x_mm: null, y_mm: y, z_mm: z };
    $("input[name=event]", dialog).value = JSON.stringify({ kind: "piece_loaded_elsewhere", payload });
    said.textContent = said.dataset.said.replace("{left}", lengthSaid(y, said.dataset.units)).replace("{up}", lengthSaid(z, said.dataset.units));
    $("button.primary", dialog).disabled = false;
  });

  if ("serviceWorker" in navigator && window.isSecureContext) navigator.serviceWorker.register("/worker.js");
  mark();
})();
