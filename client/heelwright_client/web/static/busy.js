// Says what the service is doing while the answer of a form or link that takes a while is on its way.
"use strict";

(function () {
  function tell(from, after) {
    const told = document.createElement("p");
    told.className = "told";
    told.id = "busy";
    told.setAttribute("role", "status");
    after.after(told);
    told.textContent = from.dataset.busy;
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.dataset.busy || event.defaultPrevented) {
      return;
    }
    const buttons = [...form.querySelectorAll("button:not([type=button])")];
    tell(form, buttons.length ? buttons[buttons.length - 1].parentElement : form);
    window.setTimeout(() => buttons.forEach((each) => (each.disabled = true)));
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-busy]");
    if (link && !event.defaultPrevented && !(event.ctrlKey || event.metaKey || event.shiftKey)) {
      tell(link, link.parentElement);
    }
  });

  // A page that the browser kept comes back as it was left.
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) {
      return;
    }
    document.querySelectorAll("#busy").forEach((each) => each.remove());
    document.querySelectorAll("form[data-busy] button").forEach((each) => (each.disabled = false));
  });
})();
