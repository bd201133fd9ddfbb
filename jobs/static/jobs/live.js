/* Live: one tab of a person holds the stream, the others hear from it. Where no stream is possible
   the same tab polls. Whoever hears that a job has changed asks for its part of the page anew. The
   stream is asked for the jobs that the open tabs show, and for no others. */
(() => {
  "use strict";
  const base = document.body.dataset.base, POLL_MS = 5000, AGAIN_MS = 3000;
  if (!document.body.dataset.who) return;
  const channel = new BroadcastChannel(`live ${base}`);
  /* News are numbered by the broker's clock: those since just before this page was made are read. */
  const MARGIN_S = 2;
  let last = `${Number(document.body.dataset.at) - MARGIN_S}000-0`, source = null, open = false;
  window.Live = { isOpen: () => open };

  /* The jobs that this page shows; "any": all. */
  const shown = () => [...document.querySelectorAll("[data-live]")].flatMap((one) => one.dataset.live.split(" ")).filter(Boolean);
  const asked = new Set();
  let holds = false;
  const jobs = () => (asked.has("any") ? "" : [...asked].sort().join(",") || "none");
  /* What a tab of this browser shows. The stream is opened anew where it did not ask for that. */
  function want(more) {
    const before = jobs();
    more.forEach((job) => asked.add(job));
    if (!source || before === jobs()) return;
    source.close();
    tell({ kind: "broken" });
    stream();
  }

  function heard(news) {
    if (news.id) last = news.id;
    if (news.kind === "open" || news.kind === "broken") open = news.kind === "open";
    document.dispatchEvent(new CustomEvent("live", { detail: news }));
  }
  function tell(news) { heard(news); channel.postMessage(news); }
  channel.onmessage = ({ data }) => {
    if (data.kind === "want") { if (holds) want(data.jobs); }
    else if (data.kind === "holds") channel.postMessage({ kind: "want", jobs: shown() });
    else if (data.kind !== "ask") heard(data);
    else if (source && open) channel.postMessage({ kind: "open" });
  };
  channel.postMessage({ kind: "want", jobs: shown() });
  channel.postMessage({ kind: "ask" });
  /* A part that was fetched anew may show another job. */
  document.addEventListener("htmx:afterSwap", () => {
    if (holds) want(shown());
    else channel.postMessage({ kind: "want", jobs: shown() });
  });

  function stream() {
    source = new EventSource(`${base}live/?after=${encodeURIComponent(last)}&jobs=${jobs()}`);
    source.addEventListener("open", () => tell({ kind: "open" }));
    source.addEventListener("job", (event) => tell({ kind: "job", id: event.lastEventId, job: JSON.parse(event.data).job }));
    source.addEventListener("lost", () => tell({ kind: "lost" }));
    source.addEventListener("ended", () => { source.close(); source = null; tell({ kind: "lost" }); });
    source.addEventListener("error", () => {
      tell({ kind: "broken" });
      if (source && source.readyState === EventSource.CLOSED) { source = null; setTimeout(poll, AGAIN_MS); }
    });
  }

  async function poll() {
    try {
      const answer = await fetch(`${base}live/since/?after=${encodeURIComponent(last)}`, { headers: { Accept: "application/json" } });
      if (answer.status === 401) return;
      const news = await answer.json();
      if (news.lost) tell({ kind: "lost", id: news.last });
      news.jobs.forEach((job) => tell({ kind: "job", id: news.last, job }));
      if ("EventSource" in window) return stream();
    } catch { /* no network: once more later */ }
    setTimeout(poll, POLL_MS);
  }

  function begin() {
    holds = true;
    channel.postMessage({ kind: "holds" });
    shown().forEach((job) => asked.add(job));
    if ("EventSource" in window) stream(); else poll();
  }
  if (navigator.locks) navigator.locks.request(`live ${base}`, () => { begin(); return new Promise(() => {}); });
  else begin();
  /* A page that is put aside may come back stale. */
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
})();
