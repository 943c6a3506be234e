// The plan follows the form: a second after the last change the same page is asked for and its answer put in place.
"use strict";

(function () {
  const form = document.getElementById("question");
  const answer = document.getElementById("answer");
  const told = document.getElementById("renewed");
  let waiting = 0;
  let asked = null;

  async function follow() {
    if (asked) {
      asked.abort();
    }
    asked = new AbortController();
    const query = new URLSearchParams(new FormData(form)).toString();
    const address = `${form.action}?${query}`;
    answer.classList.add("busy");
    told.textContent = "The service plans again.";
    try {
      const response = await fetch(address, { signal: asked.signal });
      if (response.redirected) {
        window.location.assign(response.url);
        return;
      }
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      const fresh = page.getElementById("answer");
      if (fresh) {
        answer.replaceChildren(...fresh.childNodes);
        told.classList.add("unseen");
        told.textContent = response.ok ? "The plan below was renewed." : "The service refused the entries.";
        if (response.ok) {
          history.replaceState(null, "", address);
        }
      }
      answer.classList.remove("busy");
    } catch (error) {
      if (error.name !== "AbortError") {
        answer.classList.remove("busy");
        told.textContent = "The service could not be reached: the plan below is the one before.";
        told.classList.remove("unseen");
      }
    }
  }

  function complete() {
    return [...form.querySelectorAll("[aria-required]")].every((field) => field.value.trim() !== "");
  }

  form.addEventListener("input", () => {
    window.clearTimeout(waiting);
    if (complete() && form.elements["positions.0.x_m"].value && form.elements["instruments.0.id"].value) {
      waiting = window.setTimeout(follow, 900);
    }
  });
})();
