/* The pages of the floor: buttons become events in the outbox, the part of the page that has
   changed is fetched anew, and what is not sent yet is marked. Without this script the same
   buttons send forms. */
(() => {
  "use strict";
  const $ = (sign, within = document) => within.querySelector(sign);
  const $$ = (sign, within = document) => [...within.querySelectorAll(sign)];
  const board = () => $("#board");

  /* ── Buttons ── */
  /* Every `event` field is one event, and so is the button that was pressed if it says one; the
     form's other fields complete the payloads that lack them. */
  function eventsOf(form, button) {
    const data = new FormData(form), more = {};
    if (button?.name) data.append(button.name, button.value);
    for (const [name, value] of data) {
      if (["event", "uuid", "next", "csrfmiddlewaretoken"].includes(name) || value === "") continue;
      const field = form.elements[name];
      more[name] = field.type === "number" || name.endsWith("_mm") ? Number(value) : value;
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
    if (form.dataset.seen) {
      submitted.preventDefault();
      document.cookie = `${form.dataset.seen}=${form.elements.until.value}; path=${document.body.dataset.base}; max-age=86400; SameSite=Lax`;
      form.closest("aside").remove();
      $("#main").focus();
      return;
    }
    if (!form.matches("form[data-tell]") || !window.indexedDB) return;
    submitted.preventDefault();
    const button = submitted.submitter, told = eventsOf(form, button);
    if (button) button.disabled = true;
    const dialog = form.closest("dialog");
    pressed += 1;
    document.body.dataset.unsent = pressed;
    Outbox.push(jobOf(form), told).then(() => {
      pressed -= 1;
      if (dialog) dialog.close();
      form.reset();
      mark();
      if (button) button.disabled = false;
    }).catch(() => sendAsForm(form, button));
  });
  /* A browser that keeps nothing, as some private windows: then at once, as without script. */
  function sendAsForm(form, button) {
    if (button?.name) form.append(Object.assign(document.createElement("input"), { type: "hidden", name: button.name, value: button.value }));
    form.submit();
  }

  /* ── What is not sent, what came back ── */
  const SUBJECTS = ["tag", "vault", "fill", "tier", "task"];
  const subjectOf = (event) => String(event.payload[SUBJECTS.find((name) => name in event.payload)] ?? "");
  let unsent = 0, pressed = 0;
  const FINISHES = { piece_loaded_elsewhere: "piece_loaded" };

  async function mark() {
    const kept = await Outbox.waiting();
    for (const { event } of kept) {
      const lines = $$(`[data-subject="${CSS.escape(subjectOf(event))}"]`);
      const finished = lines.filter((line) => line.dataset.finish === (FINISHES[event.kind] || event.kind));
      finished.forEach((line) => line.classList.add("told"));
      for (const line of finished.length ? finished : lines) {
        if (!$(".unsent-mark", line)) ($(".head", line) || line).append($("#unsent-mark").content.cloneNode(true));
      }
    }
    if (unsent && !kept.length) refresh();
    unsent = kept.length;
    document.body.dataset.unsent = unsent + pressed;
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
    $(".what", line).textContent = `${one.answer.what || one.event.kind.replaceAll("_", " ")} ${subjectOf(one.event)}`;
    const why = $(".why", line);
    if (why) why.textContent = one.answer.said || one.answer.detail || one.answer.code;
    $("button", line).onclick = () => Outbox.forget(one.uuid);
    return line;
  }
  document.addEventListener("outbox", mark);
  addEventListener("offline", mark);

  /* ── The part that changed ── */
  let asked = 0, stale = false;
  const isChosen = (select) => select.selectedIndex !== Math.max(0, [...select.options].findIndex((one) => one.defaultSelected));
  const isBusy = () => {
    const at = document.activeElement;
    return $("dialog[open], .scan-view:not([hidden])") || $$("#board input[type=checkbox]").some((box) => box.checked !== box.defaultChecked)
      || $$("#board select").some(isChosen)
      || (at && at.matches("#board input:not([type=checkbox]), #board textarea") && at.value !== at.defaultValue);
  };
  function refresh() {
    if (!board()) return;
    if (isBusy()) { stale = true; return; }
    stale = false;
    /* A page that is dear to make says how long it rests between two looks. */
    const calm_ms = Number(board().dataset.calm || 0);
    if (calm_ms && asked) return;
    clearTimeout(asked);
    asked = setTimeout(() => { asked = 0; fetchPart(); }, calm_ms || 30);
  }
  /* One at a time: htmx would let a second one wait and say at once that it is there. */
  let fetching = false, again = false;
  function fetchPart() {
    if (fetching) { again = true; return; }
    fetching = true;
    htmx.ajax("GET", board().dataset.address, { target: "#board", swap: "innerHTML" }).then(() => {
      const { changed, focus, lines } = left;
      served = foldsOf();
      changed.forEach(([id, open]) => { const one = document.getElementById(id); if (one) one.open = open; });
      lines.forEach(([line, classes]) => $$("[data-work] > li").find((one) => lineOf(one) === line)?.classList.add(...classes));
      if (lines.length && document.activeElement === document.body) $("[data-work] > li.found button.primary")?.focus({ preventScroll: true });
      if (focus && document.getElementById(focus)) document.getElementById(focus).focus({ preventScroll: true });
      mark();
    }).catch(() => {}).finally(() => {
      fetching = false;
      if (again) { again = false; refresh(); }
    });
  }
  /* What the person has opened or shut by the moment the part is changed, not when it was asked for;
     the rest opens and shuts as the server has it. */
  const foldsOf = () => new Map(board() ? $$("details[id]", board()).map((one) => [one.id, one.open]) : []);
  let served = foldsOf(), left = { changed: [], focus: "", lines: [] };
  /* Lines that somebody tapped open, or brought up by scanning. */
  const lineOf = ({ dataset }) => `${dataset.subject} ${dataset.finish}`;
  const linesOpen = () => $$("[data-work] > li.open").map((line) => [lineOf(line), ["open", "found"].filter((name) => line.classList.contains(name))]);
  /* Signed out, or the phone's leave is over: the server says so on a page of its own. Where
     something is not sent yet, the page stays, says so too and takes more. */
  document.addEventListener("htmx:beforeSwap", (event) => {
    const { xhr } = event.detail, asked = new URL(board().dataset.address, location.href);
    if (xhr.status !== 401 && new URL(xhr.responseURL).pathname === asked.pathname) {
      if (isBusy()) { stale = true; event.preventDefault(); }
      const changed = [...foldsOf()].filter(([id, open]) => served.get(id) !== open);
      left = { changed, focus: document.activeElement?.id, lines: linesOpen() };
      return;
    }
    event.preventDefault();
    if (!unsent && !pressed) location.reload();
  });
  document.addEventListener("live", ({ detail }) => {
    if (detail.kind === "open" || detail.kind === "broken") return;
    const wanted = $$("[data-live]").flatMap((one) => one.dataset.live.split(" "));
    if (detail.kind === "lost" || wanted.includes("any") || wanted.includes(detail.job)) refresh();
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
  });

  if ("serviceWorker" in navigator && window.isSecureContext) navigator.serviceWorker.register("/worker.js");
  mark();
})();
