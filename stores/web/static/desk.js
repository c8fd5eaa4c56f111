// The desk follows the phone: while the page is seen it asks every 2 s what is looked at and which
// entry is the newest, and fetches the parts that may have changed when that is another one.
(() => {
  "use strict";
  const strip = document.getElementById("follow");
  if (!strip) return;
  const make = (tag, text, values = {}) => Object.assign(document.createElement(tag), { textContent: text }, values);
  const parts = () => document.querySelectorAll("[data-part]");
  const COUNTED_EVERY = 15000; // ms: counting what is open takes longer than all the rest
  let act = Number(strip.dataset.act);
  let counted = 0;
  let toCount = true;
  let shown = "";
  let busy = false;

  const read = async (address) => {
    const answer = await fetch(address);
    if (!answer.ok) throw new Error(String(answer.status));
    return new DOMParser().parseFromString(await answer.text(), "text/html");
  };

  const say = (seen, waits) => {
    const now = JSON.stringify([seen, waits]);
    if (now === shown) return;
    shown = now;
    strip.replaceChildren();
    if (seen) strip.append(make("a", seen.words, { href: seen.to, className: "typed" }), make("span", ` at ${seen.at}`, { className: "aside" }));
    if (waits) {
      const button = make("button", waits, { type: "button", className: "quiet" });
      button.addEventListener("click", () => location.reload());
      strip.append(button);
    }
  };

  // The same summary or link in a part that was fetched anew, null for what cannot be told again.
  const again = (held, part) => {
    if (held.localName === "summary") return part.querySelector(`details[data-path="${CSS.escape(held.parentElement.dataset.path)}"] > summary`);
    return held.localName === "a" ? part.querySelector(`a[href="${CSS.escape(held.getAttribute("href"))}"]`) : null;
  };

  // What is open stays open, and what has the focus keeps it; a part with a form in use is left alone.
  const renew = async () => {
    const opened = new Map([...document.querySelectorAll("details[data-path]")].map((each) => [each.dataset.path, each.open]));
    const page = await read(location.pathname + location.search);
    let left = false;
    for (const part of parts()) {
      const fresh = page.querySelector(`[data-part="${part.dataset.part}"]`);
      const held = part.contains(document.activeElement) ? document.activeElement : null;
      const next = held && fresh ? again(held, fresh) : null;
      if (held && !next) left = true;
      else if (fresh) {
        part.replaceWith(fresh);
        next?.focus({ preventScroll: true });
      }
    }
    if (page.querySelectorAll("[data-part]").length !== parts().length) left = true;
    for (const each of document.querySelectorAll("details[data-path]")) if (opened.has(each.dataset.path)) each.open = opened.get(each.dataset.path);
    return left;
  };

  const count = async () => {
    const list = document.getElementById("open");
    if (!list || !toCount || Date.now() - counted < COUNTED_EVERY) return;
    counted = Date.now();
    toCount = false;
    list.replaceChildren(...(await read("/desk/open" + location.search)).body.children);
  };

  let waits = "";
  const ask = async () => {
    if (busy || document.visibilityState !== "visible") return;
    busy = true;
    try {
      const answer = await fetch("/desk/follow");
      if (!answer.ok) throw new Error(String(answer.status));
      const now = await answer.json();
      if (now.act !== act) {
        act = now.act;
        waits = (await renew()) ? "Something was recorded: show it" : "";
        toCount = true;
      }
      await count();
      say(now.seen, waits);
    } catch {
      say(null, "The stores does not answer: try again");
    } finally {
      busy = false;
    }
  };

  // The steps of a large machine's assembly are fetched when it is opened.
  document.addEventListener(
    "toggle",
    async (event) => {
      const branch = event.target;
      if (!branch.open || !branch.dataset.fill) return;
      const address = branch.dataset.fill;
      delete branch.dataset.fill;
      try {
        const fresh = (await read(address)).querySelector(`details[data-path="${CSS.escape(branch.dataset.path)}"] > .inside`);
        if (fresh) branch.querySelector(":scope > .inside").replaceWith(fresh);
      } catch {
        branch.dataset.fill = address; // the link within it is still there
      }
    },
    true,
  );

  ask();
  setInterval(ask, 2000);
  document.addEventListener("visibilitychange", ask);
})();
