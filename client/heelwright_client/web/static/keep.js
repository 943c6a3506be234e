// What was typed outlives an ended session and a service that did not answer: it comes back into the form, to be sent again.
"use strict";

(function () {
  const NAME = "heelwright-typed";
  const CANNOT = "input:is([type=hidden], [type=password], [type=file], [type=submit])";

  function read() {
    try {
      return JSON.parse(sessionStorage.getItem(NAME));
    } catch (error) {
      return null;
    }
  }

  function write(typed) {
    try {
      sessionStorage.setItem(NAME, JSON.stringify(typed));
    } catch (error) {
      sessionStorage.removeItem(NAME);
    }
  }

  function path(address) {
    return new URL(address, window.location.href).pathname;
  }

  function fields(form) {
    return [...form.elements].filter((field) => field.matches("input, select, textarea") && field.name && !field.matches(CANNOT));
  }

  function tell(words, before) {
    const told = document.createElement("p");
    told.className = "told";
    told.setAttribute("role", "status");
    before.before(told);
    told.textContent = words;
  }

  function fill(form, kept) {
    const open = fields(form);
    let lost = 0;
    for (const [name, value, checked] of kept) {
      const at = open.findIndex((field) => field.name === name && (checked === null || field.value === value));
      if (at < 0) {
        lost += value && checked !== false ? 1 : 0;
        continue;
      }
      const [field] = open.splice(at, 1);
      if (checked === null) {
        field.value = value;
      } else {
        field.checked = checked;
      }
    }
    form.closest("details")?.setAttribute("open", "");
    const rest = lost ? ` ${lost} of them found no field here any more: look at each.` : "";
    tell(`What you typed is back in the form and is not stored yet: look at it and send it again.${rest}`, form);
  }

  const typed = read();
  const failed = document.querySelector("[data-keeps-typed]");
  if (typed && failed) {
    write({ ...typed, broken: true });
    if (failed.dataset.keepsTyped === "link") {
      const link = document.createElement("a");
      link.href = typed.page;
      link.textContent = "Back to the form, with what you typed";
      failed.append(link);
    }
  } else if (typed && window.location.pathname === path(typed.page) && typed.broken) {
    const form = [...document.querySelectorAll("main form")].find((each) => path(each.action) === typed.action);
    if (form) {
      fill(form, typed.fields);
    }
    sessionStorage.removeItem(NAME);
  } else if (typed && !(typed.broken && window.location.pathname === "/sign-in")) {
    sessionStorage.removeItem(NAME);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    const mine = form.closest("main") && form.method === "post" && !form.querySelector("[type=password]");
    if (!mine || event.defaultPrevented) {
      return;
    }
    const kept = fields(form).map((field) => [
      field.name,
      field.value,
      field.matches("[type=checkbox], [type=radio]") ? field.checked : null,
    ]);
    write({ page: window.location.pathname + window.location.search, action: path(form.action), fields: kept });
  });
})();
