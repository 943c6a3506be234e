// A test day with or without a network: every form is kept on this device until the service has taken it.
"use strict";

(function () {
  const panel = document.getElementById("unsent");
  const count = document.getElementById("unsent-count");
  const list = document.getElementById("unsent-list");
  const test = panel.dataset.test;
  const queueName = `heelwright-queue-${test}`;
  const draftName = `heelwright-draft-${test}-`;
  const PAUSES_MS = [2000, 5000, 15000, 30000];
  let failures = 0;
  let timer = 0;
  let trouble = "";

  // --- what waits ---

  function read() {
    try {
      return JSON.parse(localStorage.getItem(queueName)) || [];
    } catch (error) {
      return [];
    }
  }

  function write(queue) {
    localStorage.setItem(queueName, JSON.stringify(queue));
    show();
  }

  function change(key, changes) {
    const queue = read();
    const item = queue.find((each) => each.key === key);
    if (item) {
      Object.assign(item, changes);
      write(queue);
    }
  }

  function drop(key) {
    write(read().filter((each) => each.key !== key));
  }

  function show() {
    const queue = read();
    const refused = queue.filter((each) => each.errors);
    const waiting = queue.length - refused.length;
    const parts = [];
    if (waiting) {
      parts.push(`Not yet sent: ${waiting}, kept on this device.`);
    }
    if (refused.length) {
      parts.push(`Refused, look at it: ${refused.length}.`);
    }
    if (trouble && queue.length) {
      parts.push(trouble);
    }
    const told = parts.join(" ") || "Everything is sent.";
    if (count.textContent !== told) {
      count.textContent = told;
    }
    panel.classList.toggle("waiting", waiting > 0);
    panel.classList.toggle("stuck", refused.length > 0);
    list.replaceChildren(...queue.map(row));
    for (const link of document.querySelectorAll(".states a")) {
      link.classList.toggle("held", queue.some((each) => each.url.endsWith(`/states/${link.dataset.state}`)));
    }
  }

  function row(item) {
    const made = document.createElement("li");
    const words = document.createElement("span");
    words.textContent = item.errors ? `${item.words}. ${item.errors.join(" ")}` : item.words;
    made.append(words);
    if (item.errors) {
      made.append(button("Put back into the form", () => putBack(item)), button("Discard", () => drop(item.key)));
    }
    return made;
  }

  function button(words, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = words;
    made.addEventListener("click", act);
    return made;
  }

  // --- taking a form ---

  function fresh() {
    if (window.crypto && crypto.randomUUID) {
      return crypto.randomUUID();
    }
    return `${Date.now()}-${Math.random().toString(36).slice(2)}-${Math.random().toString(36).slice(2)}`;
  }

  function typed(form) {
    return [...form.elements].filter(
      (field) => field.name && field.matches("input:not([type=hidden], [type=checkbox]), select") && !field.readOnly,
    );
  }

  function initial(field) {
    if (field.tagName !== "SELECT") {
      return field.defaultValue;
    }
    const chosen = [...field.options].find((option) => option.defaultSelected) || field.options[0];
    return chosen ? chosen.value : "";
  }

  function answers(form) {
    const readings = [...form.querySelectorAll(".reading")];
    const fields = readings.length ? readings : typed(form);
    return fields.filter((field) => field.value.trim() !== "" && field.value !== initial(field));
  }

  function told(form) {
    const values = answers(form)
      .slice(0, 6)
      .map((field) => {
        const label = field.labels && field.labels[0];
        const name = field.classList.contains("reading") && label ? label.firstChild.textContent.trim() : "";
        return `${name} ${field.value.trim()}`.trim();
      });
    return `${form.dataset.words || "Entry"}: ${values.join(", ") || "as shown"}`;
  }

  function take(form) {
    const readings = form.querySelectorAll(".reading");
    if (readings.length && !answers(form).length) {
      readings[0].focus();
      return;
    }
    const key = fresh();
    form.elements.key.value = key;
    if (form.elements.at) {
      form.elements.at.value = `${new Date().toISOString().slice(0, 19)}+00:00`;
    }
    const sent = new URLSearchParams(new FormData(form));
    sent.delete("csrf_token");
    const url = new URL(form.action, window.location.href).pathname;
    write([...read(), { key, url, body: sent.toString(), words: told(form) }]);
    localStorage.removeItem(draftName + url);
    clear(form);
    send();
  }

  function clear(form) {
    const readings = [...form.querySelectorAll(".reading")];
    for (const field of readings.length ? readings : typed(form)) {
      field.value = readings.length ? "" : initial(field);
    }
    for (const field of form.querySelectorAll("[data-repeat]")) {
      field.value = String(Number(field.value || 0) + 1);
    }
    if (form.dataset.next) {
      go(form.dataset.next);
    } else if (form.contains(document.activeElement)) {
      document.activeElement.blur();
    }
  }

  function putBack(item) {
    const form = [...document.querySelectorAll("form.queued")].find(
      (each) => new URL(each.action, window.location.href).pathname === item.url,
    );
    if (!form) {
      return;
    }
    for (const [name, value] of new URLSearchParams(item.body)) {
      const field = form.elements[name];
      if (field && !["csrf_token", "key", "at"].includes(name) && "value" in field) {
        if (field.type === "checkbox") {
          field.checked = true;
        } else {
          field.value = value;
        }
      }
    }
    drop(item.key);
    const section = form.closest(".state");
    if (section) {
      go(section.dataset.state);
    }
    const folded = form.closest("details");
    if (folded) {
      folded.open = true;
    }
    const first = form.querySelector(".reading") || typed(form)[0];
    if (first) {
      first.focus();
    }
  }

  // --- sending ---

  async function post(item) {
    const token = document.querySelector("input[name=csrf_token]").value;
    return fetch(item.url, {
      method: "POST",
      headers: { Accept: "application/json", "Content-Type": "application/x-www-form-urlencoded" },
      body: `${item.body}&csrf_token=${encodeURIComponent(token)}`,
    });
  }

  async function sendAll() {
    let sent = 0;
    for (;;) {
      const item = read().find((each) => !each.errors);
      if (!item) {
        break;
      }
      let response;
      try {
        response = await post(item);
      } catch (error) {
        later("No network.");
        return sent;
      }
      if (response.status === 201) {
        failures = 0;
        trouble = "";
        sent += 1;
        drop(item.key);
        continue;
      }
      const found = await messages(response);
      if (response.status === 400 || response.status === 401 || response.redirected) {
        later("Sign in again in this browser, then load this page: the entries stay here.");
        return sent;
      }
      if (response.status >= 500 || response.status === 429) {
        later(found[0] || "The service cannot be reached.");
        return sent;
      }
      change(item.key, { errors: found.length ? found : [`Refused with status ${response.status}.`] });
    }
    return sent;
  }

  async function messages(response) {
    try {
      return (await response.json()).errors.map((each) => each.message);
    } catch (error) {
      return [];
    }
  }

  function later(why) {
    trouble = why;
    show();
    window.clearTimeout(timer);
    timer = window.setTimeout(send, PAUSES_MS[Math.min(failures, PAUSES_MS.length - 1)]);
    failures += 1;
  }

  async function send() {
    const work = async () => {
      const sent = await sendAll();
      if (sent) {
        await renew();
      }
    };
    if (navigator.locks) {
      await navigator.locks.request(queueName, work);
    } else {
      await work();
    }
  }

  // --- what the service says now ---

  function untouched(form) {
    const at = document.activeElement;
    return !answers(form).length && !(form.contains(at) && at.matches("input, select, textarea"));
  }

  async function renew() {
    let page;
    try {
      const response = await fetch(window.location.pathname + window.location.search);
      if (!response.ok || response.redirected) {
        return;
      }
      page = new DOMParser().parseFromString(await response.text(), "text/html");
    } catch (error) {
      return;
    }
    for (const id of ["running", "next", "moved"]) {
      replace(document.getElementById(id), page.getElementById(id));
    }
    for (const link of document.querySelectorAll(".states a")) {
      const other = page.querySelector(`.states a[data-state="${link.dataset.state}"]`);
      if (other) {
        link.replaceChildren(...other.childNodes);
      }
    }
    for (const section of document.querySelectorAll(".state")) {
      const form = section.querySelector("form.queued");
      const held = read().some((each) => each.url === new URL(form.action, window.location.href).pathname);
      if (!held && untouched(form)) {
        replace(section, page.getElementById(section.id));
      }
    }
    if (!document.querySelector(".state") && [...document.querySelectorAll("form.queued")].every(untouched)) {
      window.location.reload();
    }
    show();
  }

  function replace(old, other) {
    if (old && other) {
      old.replaceChildren(...other.childNodes);
    }
  }

  // --- moving between states, with the network or without ---

  function go(state) {
    const section = document.getElementById(`state-${state}`);
    if (!section) {
      return;
    }
    for (const each of document.querySelectorAll(".state")) {
      each.hidden = each !== section;
    }
    for (const link of document.querySelectorAll(".states a")) {
      if (link.dataset.state === state) {
        link.setAttribute("aria-current", "step");
      } else {
        link.removeAttribute("aria-current");
      }
    }
    history.replaceState(null, "", `?state=${state}`);
    section.querySelector("h2").focus();
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest(".states a");
    if (link) {
      event.preventDefault();
      go(link.dataset.state);
    }
  });

  document.addEventListener("submit", (event) => {
    if (event.target.matches("form.queued")) {
      event.preventDefault();
      take(event.target);
    }
  });

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches(".reading")) {
      return;
    }
    const readings = [...event.target.form.querySelectorAll(".reading")];
    const following = readings[readings.indexOf(event.target) + 1];
    if (following) {
      event.preventDefault();
      following.focus();
    }
  });

  // --- of a deviation only the sizes that its kind is told by ---

  for (const form of document.querySelectorAll("form[data-sizes]")) {
    const sizes = JSON.parse(form.dataset.sizes);
    const choose = () => {
      for (const part of form.querySelectorAll("[data-size]")) {
        part.hidden = !(sizes[form.elements.kind.value] || []).includes(part.dataset.size);
      }
    };
    form.elements.kind.addEventListener("change", choose);
    choose();
  }

  // --- what is typed and not yet entered survives a reload too ---

  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (form && form.matches(".queued")) {
      const kept = typed(form).filter((field) => field.value !== initial(field));
      const url = new URL(form.action, window.location.href).pathname;
      localStorage.setItem(draftName + url, JSON.stringify(kept.map((field) => [field.name, field.value])));
    }
  });

  for (const form of document.querySelectorAll("form.queued")) {
    const url = new URL(form.action, window.location.href).pathname;
    try {
      for (const [name, value] of JSON.parse(localStorage.getItem(draftName + url)) || []) {
        const field = form.elements[name];
        if (field && "value" in field && field.value === initial(field)) {
          field.value = value;
        }
      }
    } catch (error) {
      localStorage.removeItem(draftName + url);
    }
  }

  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register(panel.dataset.worker).catch(() => undefined);
  }
  window.addEventListener("online", send);
  window.addEventListener("storage", show);
  show();
  send();
})();
