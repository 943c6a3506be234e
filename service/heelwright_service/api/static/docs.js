"use strict";

window.addEventListener("DOMContentLoaded", () => {
  window.SwaggerUIBundle({
    url: "/v1/openapi.json",
    dom_id: "#interface",
    deepLinking: true,
    // The viewer would otherwise ask a public server for a badge.
    validatorUrl: null,
  });
});
