/* What was reported and is not sent yet. It lies in the browser's database, survives everything
   but the phone's loss, is sent in order, and is forgotten only when the server has named it. */
(() => {
  "use strict";
  const NAME = "tierwright", BATCH = 50, AGAIN_MS = 4000;
  const body = document.body;
  const who = Number(body.dataset.who), base = body.dataset.base;
  const changed = () => document.dispatchEvent(new CustomEvent("outbox"));
  let again = 0, offset = 0, state = "idle";

  const opened = new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("events", { keyPath: "n", autoIncrement: true });
      asked.result.createObjectStore("told", { keyPath: "uuid" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });

  /* One transaction on a store; resolves when it is on the disk. */
  async function within(store, mode, work) {
    const database = await opened;
    return new Promise((resolve, reject) => {
      const transaction = database.transaction(store, mode, { durability: "strict" });
      const asked = work(transaction.objectStore(store));
      transaction.oncomplete = () => resolve(asked && asked.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  }

  const isMine = (kept) => kept.who === who && kept.base === base;
  const waiting = async () => (await within("events", "readonly", (s) => s.getAll())).filter(isMine);
  const told = async () => (await within("told", "readonly", (s) => s.getAll())).filter(isMine);

  /* Keep events of one job; `events` are {kind, payload}. Resolves when they are safe. */
  async function push(job, events) {
    const now = new Date().toISOString();
    await within("events", "readwrite", (store) => {
      for (const event of events) {
        const whole = { uuid: crypto.randomUUID(), version: 1, happened_at: now, ...event };
        store.add({ who, base, job, event: whole });
      }
    });
    changed();
    flush();
  }

  /* Send what waits. One tab at a time does it; the others find nothing left. */
  async function flush() {
    clearTimeout(again);
    if (!who) return;
    if (navigator.locks) await navigator.locks.request(`outbox ${base}`, sendAll);
    else await sendAll();
    changed();
    if (state === "off") again = setTimeout(flush, AGAIN_MS);
  }

  async function sendAll() {
    for (let kept = await waiting(); kept.length; kept = await waiting()) {
      const job = kept[0].job;
      const batch = kept.filter((one) => one.job === job).slice(0, BATCH);
      const answers = await send(job, batch.map((one) => one.event));
      if (!answers) return;
      if (!(await settle(batch, answers))) { state = "off"; return; }
    }
    state = "idle";
  }

  function token() {
    const cookie = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/);
    return cookie ? decodeURIComponent(cookie[1]) : "";
  }

  /* The server's answers, or nothing: then `state` says why. */
  async function send(job, events) {
    try {
      /* A browser that was killed may have lost its cookies while its pages come from the phone:
         any page that the server makes brings the token again. */
      if (!token()) await fetch(`${base}my-task/`, { credentials: "same-origin" });
      const answer = await fetch(`${base}jobs/${job}/batch/`, {
        method: "POST",
        credentials: "same-origin",
        headers: {
          "Content-Type": "application/json", Accept: "application/json",
          "X-CSRFToken": token(),
        },
        body: JSON.stringify({ who, clock_offset_ms: offset, events }),
      });
      const date = Date.parse(answer.headers.get("Date") || "");
      if (date) offset = Math.round((Date.now() - date) / 1000) * 1000;
      if (answer.ok) return (await answer.json()).answers;
      state = { 401: body.dataset.phone ? "ended" : "sign-in", 403: "sign-in", 409: "sign-in" }[answer.status] || "off";
      return null;
    } catch {
      state = "off";
      return null;
    }
  }

  /* Forget what the server has named; keep what it refused or contradicts for the person to see. */
  async function settle(batch, answers) {
    const named = new Map(answers.map((answer) => [answer.uuid, answer]));
    const done = batch.filter((one) => named.has(one.event.uuid));
    for (const one of done) {
      const answer = named.get(one.event.uuid);
      if (answer.answer === "conflict" || answer.answer === "refused") {
        await within("told", "readwrite", (s) => s.put({ ...one, uuid: one.event.uuid, answer }));
      }
    }
    await within("events", "readwrite", (s) => done.forEach((one) => s.delete(one.n)));
    return done.length > 0;
  }

  const forget = (uuid) => within("told", "readwrite", (s) => s.delete(uuid)).then(changed);

  window.Outbox = { push, flush, waiting, told, forget, state: () => state };
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.hidden || flush());
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist();
  flush();
})();
