/* Photographs wait on the phone like reports do: each under a UUID of its own, kept in the browser's
   database until the server has taken it, or says that it never will. */
(() => {
  "use strict";
  const AGAIN_MS = 8000;
  const body = document.body;
  const who = Number(body.dataset.who), base = body.dataset.base;
  const told = document.querySelector(".photo-net");
  let again = 0;

  const opened = new Promise((resolve, reject) => {
    const asked = indexedDB.open("tierwright photos", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "uuid" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });

  async function within(mode, work) {
    const database = await opened;
    return new Promise((resolve, reject) => {
      const transaction = database.transaction("photos", mode, { durability: "strict" });
      const asked = work(transaction.objectStore("photos"));
      transaction.oncomplete = () => resolve(asked && asked.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  }

  const waiting = async () =>
    (await within("readonly", (store) => store.getAll())).filter((one) => one.who === who && one.base === base);

  async function show() {
    const count = (await waiting()).length;
    body.dataset.photos = count;
    if (!told) return;
    told.hidden = !count;
    told.querySelector(".count").textContent = count;
  }

  async function flush() {
    clearTimeout(again);
    if (!who) return;
    if (navigator.locks) await navigator.locks.request(`photos ${base}`, sendAll);
    else await sendAll();
    await show();
    if ((await waiting()).length) again = setTimeout(flush, AGAIN_MS);
  }

  async function sendAll() {
    for (const one of await waiting()) {
      if (!(await send(one))) return;
      await within("readwrite", (store) => store.delete(one.uuid));
    }
  }

  /* Whether the phone may forget it: it is taken, or will never be. */
  async function send(one) {
    const cookie = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/);
    const form = new FormData();
    for (const name of ["uuid", "tag", "event", "taken_at"]) form.append(name, one[name]);
    form.append("photo", one.photo, "photo.jpg");
    try {
      const answer = await fetch(`${base}jobs/${one.job}/photos/`, {
        method: "POST",
        credentials: "same-origin",
        headers: { Accept: "application/json", "X-CSRFToken": cookie ? decodeURIComponent(cookie[1]) : "" },
        body: form,
      });
      return answer.ok || [409, 413, 422].includes(answer.status);
    } catch {
      return false;
    }
  }

  async function keep(form) {
    const said = new FormData(form), photo = said.get("photo");
    const event = crypto.randomUUID(), job = form.dataset.photo;
    await within("readwrite", (store) =>
      store.put({
        uuid: crypto.randomUUID(), who, base, job, event,
        tag: said.get("tag"), taken_at: new Date().toISOString(), photo,
      }));
    await Outbox.push(job, [
      { uuid: event, kind: "exception_noted", payload: { tag: said.get("tag"), note: said.get("note") } },
    ]);
    form.reset();
    const box = form.closest("details");
    if (box) box.open = false;
    await show();
    flush();
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-photo]") || !window.Outbox) return;
    event.preventDefault();
    event.stopPropagation();
    keep(form);
  }, true);
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.hidden || flush());
  flush();
})();
