// The desk's list of devices follows what happens: a phone that is let in, a code that grew old.
(() => {
  "use strict";
  const shown = document.querySelector("[data-mark]");
  if (!shown) return;
  setInterval(async () => {
    if (document.visibilityState !== "visible") return;
    try {
      const answer = await fetch("/devices/now");
      if (answer.ok && (await answer.json()).mark !== shown.dataset.mark) location.replace("/devices");
    } catch {
      // the stores is stopped: what is shown stays
    }
  }, 2000);
})();
