// A block copied from a spreadsheet fills the table from the field that it is pasted into.
"use strict";

(function () {
  function grow(table) {
    const rows = table.tBodies[0].rows;
    const last = rows[rows.length - 1];
    const fresh = last.cloneNode(true);
    for (const field of fresh.querySelectorAll("input, select")) {
      const parts = field.name.split(".");
      parts[1] = String(rows.length);
      field.id = field.id.replace(/-\d+-/, `-${rows.length}-`);
      field.name = parts.join(".");
      field.removeAttribute("aria-describedby");
      field.removeAttribute("aria-invalid");
      const label = field.getAttribute("aria-label") || "";
      field.setAttribute("aria-label", label.replace(/row \d+$/, `row ${rows.length + 1}`));
      if (field.tagName === "INPUT") {
        field.value = "";
      }
    }
    for (const error of fresh.querySelectorAll(".error")) {
      error.remove();
    }
    table.tBodies[0].append(fresh);
  }

  function fill(field, text) {
    if (field.tagName === "SELECT") {
      const wanted = text.trim().toLowerCase();
      const found = [...field.options].find((option) => option.text.toLowerCase() === wanted || option.value === wanted);
      if (found) {
        field.value = found.value;
      }
    } else {
      field.value = text.trim();
    }
  }

  document.addEventListener("paste", (event) => {
    const field = event.target;
    const table = field.closest ? field.closest("table[data-paste]") : null;
    const text = event.clipboardData ? event.clipboardData.getData("text/plain") : "";
    if (!table || !/[\t\n]/.test(text.trim())) {
      return;
    }
    event.preventDefault();
    const lines = text.replace(/\r/g, "").replace(/\n$/, "").split("\n");
    const row = field.closest("tr").rowIndex - table.tBodies[0].rows[0].rowIndex;
    const column = field.closest("td").cellIndex;
    lines.forEach((line, down) => {
      while (table.tBodies[0].rows.length <= row + down + 1) {
        grow(table);
      }
      const cells = table.tBodies[0].rows[row + down].cells;
      line.split("\t").forEach((part, along) => {
        const cell = cells[column + along];
        if (cell) {
          fill(cell.querySelector("input, select"), part);
        }
      });
    });
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
})();
