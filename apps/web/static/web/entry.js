// Entries made without a connection wait in this browser and are sent later, each once.
//
// Each entry carries its own key, so that one which is sent twice counts once. Only what the
// form asks for is kept: no names, no password, no token of the session.
"use strict";

(() => {
  const SHELF = "benchward-entries";
  const OWNER = "benchward-entry-person";
  const PAGES = "benchward-entry-pages";
  const box = document.querySelector("[data-entry-box]");
  const form = document.querySelector("form[data-entry]");
  if (!box) return;
  const person = box.dataset.person;
  const words = (name, n) => box.dataset[`words${name}`].replace("{n}", String(n));

  const all = () => {
    try {
      return JSON.parse(localStorage.getItem(SHELF)) || [];
    } catch {
      return [];
    }
  };
  const keep = (entries) => localStorage.setItem(SHELF, JSON.stringify(entries));
  const mine = () => all().filter((entry) => entry.person === person);
  const change = (key, fields) =>
    keep(all().map((entry) => (entry.key === key ? { ...entry, ...fields } : entry)));
  const drop = (key) => keep(all().filter((entry) => entry.key !== key));
  const newKey = () =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) =>
      byte.toString(16).padStart(2, "0"),
    ).join("");

  const say = (...texts) => {
    box.hidden = texts.length === 0;
    box.replaceChildren(
      ...texts.map((text) => Object.assign(document.createElement("p"), { textContent: text })),
    );
    if (mine().length && !document.querySelector("[data-entry-list]")) {
      const link = document.createElement("a");
      link.href = box.dataset.list;
      link.textContent = words("Look");
      box.append(link);
    }
  };
  const report = (...first) => {
    const waiting = mine().filter((entry) => entry.state === "waiting").length;
    const asks = mine().length - waiting;
    const texts = [...first];
    if (waiting) texts.push(words("Waiting", waiting));
    if (asks) texts.push(words("Asks", asks));
    say(...texts);
    draw();
  };

  const token = () => document.querySelector("[name=csrfmiddlewaretoken]")?.value || "";
  const cookie = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] || token();
  // Answers the server's status; throws where there is no connection.
  const post = async (entry, more = {}) => {
    const answer = await fetch(entry.url, {
      method: "POST",
      headers: { Accept: "application/json", "X-CSRFToken": cookie(), ...more },
      body: new URLSearchParams(entry.fields),
      redirect: "manual",
    });
    const isJson = (answer.headers.get("Content-Type") || "").startsWith("application/json");
    return { status: answer.status, type: answer.type, body: isJson ? await answer.json() : {} };
  };

  const settle = (entry, answer) => {
    if (answer.status === 200) {
      drop(entry.key);
      return "sent";
    }
    // Redirected to the sign-in, too many requests, or a server at a loss: it waits.
    if (answer.type === "opaqueredirect" || answer.status === 0) return "signin";
    if (answer.status === 429 || answer.status >= 500) return "later";
    if (answer.status === 409) {
      change(entry.key, { state: "conflict", conflicts: answer.body.conflicts });
    } else {
      const errors = Object.values(answer.body.errors || {}).flat();
      change(entry.key, { state: "refused", errors });
    }
    return "asks";
  };
  const sendAll = async () => {
    let sent = 0;
    for (const entry of mine().filter((each) => each.state === "waiting")) {
      let became;
      try {
        became = settle(entry, await post(entry));
      } catch {
        break;
      }
      if (became === "sent") sent += 1;
      if (became === "signin") {
        report(words("Signin"));
        return;
      }
      if (became === "later") break;
    }
    if (sent) report(words("Sent", sent));
    else report();
  };
  // Of several open pages one sends; the keys would hold without it.
  const flush = () =>
    navigator.locks
      ? navigator.locks.request("benchward-entries", { ifAvailable: true }, (lock) =>
          lock ? sendAll() : report(),
        )
      : sendAll();

  const fieldsOf = () => {
    const fields = Object.fromEntries(new FormData(form));
    delete fields.csrfmiddlewaretoken;
    return fields;
  };
  const shelve = (fields) => {
    const entry = {
      key: fields.entry_key,
      person,
      url: window.location.pathname,
      title: form.dataset.title,
      at: new Date().toISOString(),
      state: "waiting",
      fields,
    };
    try {
      keep([...all(), entry]);
    } catch {
      say(words("Full"));
      return;
    }
    // A second entry of this form builds on what the first one says.
    const shown = JSON.parse(fields.seen || "{}");
    for (const name of Object.keys(shown)) if (name in fields) shown[name] = fields[name];
    form.elements.seen.value = JSON.stringify(shown);
    form.elements.entry_key.value = newKey();
    report(words("Kept"));
    box.scrollIntoView({ block: "center" });
  };
  const submit = async (event) => {
    event.preventDefault();
    const fields = fieldsOf();
    const button = form.querySelector("button");
    button.disabled = true;
    try {
      const answer = await post(
        { url: window.location.pathname, fields },
        { "Entry-Now": "yes" },
      );
      if (answer.status === 200) window.location.assign(answer.body.where);
      // Whatever else it is, the page says it better: the form goes its usual way.
      else HTMLFormElement.prototype.submit.call(form);
    } catch {
      shelve(fields);
    } finally {
      button.disabled = false;
    }
  };

  // The page of what waits.
  const list = document.querySelector("[data-entry-list]");
  const made = (tag, text, name) => {
    const element = document.createElement(tag);
    if (text) element.textContent = text;
    if (name) element.className = name;
    return element;
  };
  const press = (text, act) => {
    const button = made("button", text, "button button-plain");
    button.type = "button";
    button.addEventListener("click", act);
    return button;
  };
  const table = (entry) => {
    const rows = made("table", "", "stack");
    const heads = ["Field", "Seen", "Theirs", "Yours"].map((name) => list.dataset[`words${name}`]);
    const head = rows.createTHead().insertRow();
    for (const text of heads) head.append(Object.assign(made("th", text), { scope: "col" }));
    const body = rows.createTBody();
    for (const each of entry.conflicts) {
      const row = body.insertRow();
      row.append(Object.assign(made("th", each.label), { scope: "row" }));
      [each.seen, each.theirs, each.yours].forEach((value, at) => {
        const cell = row.insertCell();
        cell.dataset.head = heads[at + 1];
        cell.textContent = value || "–";
      });
    }
    return rows;
  };
  const insist = (entry) => {
    const shown = JSON.parse(entry.fields.seen || "{}");
    for (const each of entry.conflicts) shown[each.name] = each.now;
    const fields = { ...entry.fields, seen: JSON.stringify(shown) };
    change(entry.key, { state: "waiting", conflicts: undefined, fields });
    flush();
  };
  const draw = () => {
    if (!list) return;
    const cards = mine().map((entry) => {
      const card = made("section", "", "panel entry-card");
      card.append(made("h3", entry.title));
      const state = { waiting: "Wait", conflict: "Conflict", refused: "Refused" }[entry.state];
      const when = new Date(entry.at).toLocaleString(document.documentElement.lang);
      card.append(made("p", `${when}: ${list.dataset[`words${state}`]}`, "quiet"));
      for (const text of entry.errors || []) card.append(made("p", text, "field-error"));
      if (entry.state === "conflict") card.append(table(entry));
      const acts = made("p", "", "actions");
      if (entry.state === "conflict") {
        acts.append(press(list.dataset.wordsSend, () => insist(entry)));
      }
      if (entry.state === "refused") {
        const link = made("a", list.dataset.wordsOpen);
        link.href = entry.url;
        acts.append(link);
      }
      acts.append(
        press(list.dataset.wordsDrop, () => {
          drop(entry.key);
          report();
        }),
      );
      card.append(acts);
      return card;
    });
    const none = [made("p", list.dataset.wordsNone, "quiet")];
    list.querySelector("[data-entry-rows]").replaceChildren(...(cards.length ? cards : none));
  };
  const clear = document.querySelector("[data-entry-clear]");
  if (clear) {
    const asks = clear.textContent;
    let sure = false;
    clear.hidden = false;
    clear.addEventListener("click", async () => {
      if (!sure) {
        sure = true;
        clear.textContent = clear.dataset.wordsSure.replace("{n}", String(mine().length));
        return;
      }
      keep(all().filter((entry) => entry.person !== person));
      if (window.caches) await caches.delete(PAGES);
      sure = false;
      clear.textContent = asks;
      report();
    });
  }

  const begin = async () => {
    // Pages that somebody else opened on this device are not for this person.
    if (localStorage.getItem(OWNER) !== person) {
      if (window.caches) await caches.delete(PAGES);
      localStorage.setItem(OWNER, person);
    }
    if (form) {
      form.elements.entry_key.value = newKey();
      form.addEventListener("submit", submit);
    }
    window.addEventListener("online", flush);
    if (navigator.serviceWorker) {
      navigator.serviceWorker.register(box.dataset.worker).catch(() => {});
    }
    report();
    await flush();
  };
  begin();
})();
