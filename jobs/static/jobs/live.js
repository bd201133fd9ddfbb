/* Live: one tab of a person holds the stream, the others hear from it. Where no stream is possible
   the same tab polls. Whoever hears that a job has changed asks for its part of the page anew. */
(() => {
  "use strict";
  const base = document.body.dataset.base, POLL_MS = 5000, AGAIN_MS = 3000;
  if (!document.body.dataset.who) return;
  const channel = new BroadcastChannel(`live ${base}`);
  /* News are numbered by the broker's clock: those since just before this page was made are read. */
  const MARGIN_S = 2;
  let last = `${Number(document.body.dataset.at) - MARGIN_S}000-0`, source = null, open = false;
  window.Live = { isOpen: () => open };

  function heard(news) {
    if (news.id) last = news.id;
    if (news.kind === "open" || news.kind === "broken") open = news.kind === "open";
    document.dispatchEvent(new CustomEvent("live", { detail: news }));
  }
  function tell(news) { heard(news); channel.postMessage(news); }
  channel.onmessage = ({ data }) => {
    if (data.kind !== "ask") heard(data);
    else if (source && open) channel.postMessage({ kind: "open" });
  };
  channel.postMessage({ kind: "ask" });

  function stream() {
    source = new EventSource(`${base}live/?after=${encodeURIComponent(last)}`);
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

  const begin = () => ("EventSource" in window ? stream() : poll());
  if (navigator.locks) navigator.locks.request(`live ${base}`, () => { begin(); return new Promise(() => {}); });
  else begin();
  /* A page that is put aside may come back stale. */
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
})();
