// Small kindnesses; every page works without them.
(function () {
  "use strict";
  // A form sent once is sent once: the button rests until the answer comes.
  document.addEventListener("submit", (event) => {
    const button = event.submitter || event.target.querySelector("button:not([type=button])");
    if (event.target.hasAttribute("hx-get")) return;
    if (button) setTimeout(() => { button.disabled = true; }, 0);
  });
  window.addEventListener("pageshow", () => {
    document.querySelectorAll("button:disabled").forEach((button) => { button.disabled = false; });
  });
  // After a refusal the first refused field is in view and ready to be typed in.
  document.addEventListener("DOMContentLoaded", () => {
    const refused = document.querySelector("[aria-invalid=true]");
    if (refused) {
      const drawer = refused.closest("details");
      if (drawer) drawer.open = true;
      refused.focus();
    }
    // A new set-up starts in the grower's own time zone.
    const zone = document.querySelector("[data-own-zone]");
    const select = zone && zone.querySelector("select");
    if (select) {
      const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
      if (!document.querySelector("[aria-invalid=true]") && select.value === "UTC" && Array.from(select.options).some((option) => option.value === own)) select.value = own;
    }
  });
})();
