// Ticks on a shopping list stay on the phone, page or saved file, until they are sent back.
(() => {
  "use strict";
  for (const form of document.querySelectorAll("form[data-list]")) {
    const name = `shopping ${form.dataset.list}`;
    const boxes = [...form.querySelectorAll("input:not([type=hidden])")];
    let kept = {};
    try {
      kept = JSON.parse(localStorage.getItem(name) || "{}");
    } catch {
      // a phone that keeps nothing: the ticks last as long as the page
    }
    const keep = () => {
      for (const box of boxes) kept[box.id] = box.type === "checkbox" ? box.checked : box.value;
      try {
        localStorage.setItem(name, JSON.stringify(kept));
      } catch {
        // as above
      }
    };
    const ticked = (box) =>
      box.type === "checkbox" ? box.checked !== box.defaultChecked : box.value !== box.defaultValue;
    // What was ticked before this script was here, on a slow network, is kept as well.
    const early = boxes.some(ticked);
    for (const box of boxes)
      if (box.id in kept && !ticked(box)) {
        if (box.type === "checkbox") box.checked = kept[box.id];
        else box.value = kept[box.id];
      }
    if (early) keep();
    form.addEventListener("input", keep);
  }
})();
