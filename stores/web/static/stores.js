// What a page does beyond links and forms. Without it every form still posts.
//
// A form with data-send is sent from here, so that nothing typed is lost on a bad network: what
// cannot be sent waits in this device's own database, is shown as waiting, and goes when the
// network is back. Each carries a key; the server makes the same key one entry, however often sent.
(() => {
  "use strict";
  const root = document.documentElement;
  root.classList.add("has-script");

  const address = () => location.pathname + location.search;
  let shown = address(); // whose page this is

  const newKey = () =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  const make = (tag, text, values = {}) => Object.assign(document.createElement(tag), { textContent: text }, values);

  // ---- what waits to be sent -------------------------------------------------------------------
  const database = () =>
    new Promise((done, failed) => {
      const opening = indexedDB.open("stores", 1);
      opening.onupgradeneeded = () => opening.result.createObjectStore("waiting", { keyPath: "key" });
      opening.onsuccess = () => done(opening.result);
      opening.onerror = () => failed(opening.error);
    });
  const outbox = async (mode, work) => {
    const open = await database();
    try {
      return await new Promise((done, failed) => {
        const moment = open.transaction("waiting", mode);
        const asked = work(moment.objectStore("waiting"));
        moment.oncomplete = () => done(asked.result);
        moment.onerror = moment.onabort = () => failed(moment.error);
      });
    } finally {
      open.close();
    }
  };
  const keep = (entry) => outbox("readwrite", (box) => box.put(entry));
  const forget = (key) => outbox("readwrite", (box) => box.delete(key));
  const waiting = async () => (await outbox("readonly", (box) => box.getAll())).sort((a, b) => a.at - b.at);

  // "sent", "refused" (the page to show), or "unsent" with the reason why it waits
  const post = async (entry) => {
    const body = new FormData();
    const ahead = entry.values.filter(([, value]) => value instanceof File);
    const heavy = ahead.reduce((sum, [, file]) => sum + file.size, 0) > HEAVY;
    for (const [, file] of heavy ? ahead : []) {
      const alone = new FormData();
      alone.append("held", entry.key);
      alone.append("paths", file);
      const reply = await sendTo("/pictures/held", alone);
      if (reply.is !== "sent") return reply;
    }
    for (const [name, value] of entry.values) if (!(heavy && value instanceof File)) body.append(name, value);
    if (heavy) body.append("held", entry.key);
    if (entry.day && entry.day !== today() && !body.get("day")) body.set("day", entry.day);
    return sendTo(entry.action, body);
  };
  // Pictures that are too many bytes for one form go ahead, one a request, and are held for it.
  const HEAVY = 20e6;
  const sendTo = async (address, body) => {
    let answer;
    try {
      answer = await fetch(address, { method: "POST", body, headers: { "Stores-Send": "1" } });
    } catch {
      return { is: "unsent", why: "no network" };
    }
    if (answer.status === 401 || answer.status === 403) return { is: "unsent", why: "pair this device again" };
    // too much at once: the form stays as it is, and what is the matter is said at it
    if (answer.status === 413) return { is: "too much", why: await sentence(answer) };
    if (answer.status >= 500) return { is: "unsent", why: "the stores could not answer" };
    if (answer.headers.get("content-type")?.startsWith("application/json"))
      return { is: "sent", to: (await answer.json()).to };
    return { is: answer.status === 409 ? "repeated" : "refused", page: await answer.text(), ok: answer.ok };
  };
  const sentence = async (answer) => {
    const read = new DOMParser().parseFromString(await answer.text(), "text/html");
    return [...read.querySelectorAll("main p")].map((each) => each.textContent).join(" ");
  };
  const today = () => new Date().toLocaleDateString("sv");

  let flushing = false;
  const flush = async () => {
    if (flushing) return;
    flushing = true;
    try {
      for (const entry of await waiting()) {
        if (entry.refused) continue;
        const reply = await post(entry);
        if (reply.is === "unsent") {
          if (entry.why !== reply.why) await keep({ ...entry, why: reply.why });
          break;
        }
        if (reply.is === "refused") await keep({ ...entry, refused: true, why: "refused: look at it" });
        else if (reply.is === "too much") await keep({ ...entry, refused: true, why: reply.why });
        else await forget(entry.key);
      }
    } finally {
      flushing = false;
      await showWaiting();
    }
  };

  const showWaiting = async () => {
    const panel = document.getElementById("waiting");
    if (!panel) return;
    const entries = await waiting();
    panel.hidden = !entries.length;
    panel.replaceChildren();
    if (!entries.length) return;
    panel.append(make("h2", `${entries.length} waiting to be sent`));
    const list = make("ul", "");
    for (const entry of entries) {
      const line = make("li", `${entry.title} (${entry.why})`);
      if (entry.refused) {
        const look = make("button", "Look at it", { type: "button" });
        look.addEventListener("click", async () => {
          const reply = await post(entry);
          if (reply.is === "refused") showPage(reply.page, entry.action, entry.key, entry.values);
          else if (reply.is !== "unsent" && reply.is !== "too much") await forget(entry.key);
          await showWaiting();
        });
        line.append(" ", look);
      }
      list.append(line);
    }
    const now = make("button", "Send now", { type: "button", className: "quiet" });
    now.addEventListener("click", flush);
    panel.append(list, now);
  };

  // ---- sending a form --------------------------------------------------------------------------
  const titleOf = (form) => {
    const typed = [...form.elements].find((each) => each.name && each.value && ["text", "textarea"].includes(each.type));
    return [form.dataset.title || document.title, typed?.value.split("\n")[0]].filter(Boolean).join(": ");
  };

  const showPage = (page, from, waited = "", values = []) => {
    const read = new DOMParser().parseFromString(page, "text/html");
    document.title = read.title;
    document.body.replaceWith(read.body);
    history.pushState({}, "", from);
    shown = address();
    ready();
    keepFiles(values);
    if (waited) for (const form of document.querySelectorAll("main form[data-send]")) form.dataset.waited = waited;
    (document.getElementById("error") || document.getElementById("main"))?.focus();
    scrollTo(0, 0);
  };

  // A page cannot bring files back; those that were chosen are put into its fields again.
  const keepFiles = (values) => {
    for (const field of document.querySelectorAll("main form[data-send] input[type=file]")) {
      const files = new DataTransfer();
      for (const [name, value] of values) if (name === field.name && value instanceof File) files.items.add(value);
      if (files.files.length) field.files = files.files;
    }
  };

  const say = (form, text) => {
    let line = form.querySelector(":scope > .sending");
    if (!line) form.append((line = make("p", "", { className: "sending note" })));
    line.setAttribute("role", "status");
    line.textContent = text;
  };

  const send = async (form, button) => {
    if (form.dataset.sending) return;
    form.dataset.sending = "1";
    const data = new FormData(form);
    if (button?.name) data.append(button.name, button.value);
    const entry = {
      key: data.get("key") || newKey(),
      action: new URL((button && button.getAttribute("formaction")) || form.getAttribute("action"), location).pathname,
      values: [...data.entries()].filter(([, value]) => !(value instanceof File) || value.size),
      title: titleOf(form),
      day: today(),
      at: Date.now(),
    };
    say(form, "Sending …");
    const reply = await post(entry);
    delete form.dataset.sending;
    if (reply.is === "too much") return say(form, `Not sent: ${reply.why}`);
    if (reply.is === "unsent") {
      if (data.get("trial")) return say(form, `Cannot be shown now: ${reply.why}. What you typed stays here.`);
      try {
        await keep({ ...entry, why: reply.why });
      } catch {
        return say(form, `Not sent: ${reply.why}. What you typed stays here; try again.`);
      }
      if (form.dataset.waited) await forget(form.dataset.waited);
      form.reset();
      fresh(form);
      say(form, form.dataset.kept || "Kept on this device. It goes off when the network is back.");
      return showWaiting();
    }
    if (reply.is === "sent") {
      if (form.dataset.waited) await forget(form.dataset.waited);
      location.assign(reply.to);
      return undefined;
    }
    return showPage(reply.page, entry.action, form.dataset.waited, reply.is === "refused" ? entry.values : []);
  };

  addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || !form.matches("form[data-send]")) return;
    event.preventDefault();
    send(form, event.submitter);
  });

  // ---- a scanner that types each line of a code with Enter: the first line is the code ----------
  let scanning = 0;
  addEventListener(
    "keydown",
    (event) => {
      const field = event.target;
      if (scanning) {
        event.preventDefault();
        clearTimeout(scanning);
        scanning = setTimeout(() => ((scanning = 0), document.querySelector("input[data-scanned]").form.requestSubmit()), 250);
      } else if (event.key === "Enter" && field.matches?.("input[data-scan]") && field.form) {
        event.preventDefault();
        for (const other of document.querySelectorAll("input[data-scanned]")) delete other.dataset.scanned;
        field.dataset.scanned = "1";
        scanning = setTimeout(() => ((scanning = 0), field.form.requestSubmit()), 250);
      } else if (event.key.length === 1 && !event.ctrlKey && !event.metaKey && field === document.body) {
        document.querySelector("input[data-scan]")?.focus();
      }
    },
    true,
  );

  // ---- buttons that fill a field ----------------------------------------------------------------
  // data-put puts its words into the field named by data-for; with data-add as a line of their own.
  // data-word puts a word more behind a comma.
  // data-step counts the figure in it up or down, not below data-least.
  // data-line puts its words in the place of that line, of those that say something.
  // data-hide takes the question with its buttons away.
  addEventListener("click", (event) => {
    const hides = event.target.closest?.("button[data-hide]");
    if (hides) {
      hides.parentElement.previousElementSibling.remove();
      hides.parentElement.remove();
      return;
    }
    const button = event.target.closest?.("button[data-for]");
    if (!button) return;
    const field = document.getElementById(button.dataset.for);
    if (button.dataset.step) {
      const next = (parseInt(field.value, 10) || 0) + Number(button.dataset.step);
      field.value = String(Math.max(Number(button.dataset.least || 0), next));
    } else if ("line" in button.dataset) {
      const lines = field.value.split("\n");
      const said = lines.flatMap((line, at) => (line.trim() ? [at] : []));
      lines[said[Number(button.dataset.line)]] = button.dataset.put;
      field.value = lines.join("\n");
    } else if ("count" in button.dataset) {
      // a count begins a line, or takes the place of the one that was begun
      const lines = field.value.split("\n");
      const last = lines.at(-1);
      if (/^\d* ?$/.test(last)) lines[lines.length - 1] = button.dataset.put + " ";
      else lines.push(button.dataset.put + " ");
      field.value = lines.join("\n");
    } else if ("thing" in button.dataset) {
      // what it was ends the line
      const lines = field.value.split("\n");
      if (/^(\d+ ?)?$/.test(lines.at(-1))) lines[lines.length - 1] += button.dataset.put;
      else lines.push(button.dataset.put);
      field.value = lines.join("\n") + "\n";
    } else if ("word" in button.dataset) {
      field.value = [field.value.trim(), button.dataset.put].filter(Boolean).join(", ");
    } else if ("add" in button.dataset) {
      field.value = [field.value.trimEnd(), button.dataset.put].filter(Boolean).join("\n");
    } else {
      field.value = button.dataset.put;
    }
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });

  // ---- what was typed, shown as understood --------------------------------------------------------
  // A form with data-live is shown to that address a moment after the last key; what comes back
  // stands in its element with data-live-out.
  let asking = 0;
  addEventListener("input", (event) => {
    const form = event.target.form?.closest("form[data-live]");
    if (!form) return;
    clearTimeout(asking);
    asking = setTimeout(async () => {
      const body = new FormData();
      for (const [name, value] of new FormData(form)) if (!(value instanceof File)) body.append(name, value);
      try {
        const answer = await fetch(form.dataset.live, { method: "POST", body });
        if (answer.ok) form.querySelector("[data-live-out]").innerHTML = await answer.text();
      } catch {
        form.querySelector("[data-live-out]").textContent = "";
      }
    }, 400);
  });

  // ---- each page ------------------------------------------------------------------------------------
  const fresh = (form) => {
    const key = form.querySelector("input[name=key]");
    if (key) key.value = newKey();
  };
  const ready = () => {
    for (const form of document.querySelectorAll("form[data-send]")) fresh(form);
    showWaiting().then(flush).catch(() => {});
  };
  addEventListener("pageshow", (event) => event.persisted && ready());
  addEventListener("popstate", () => {
    if (address() !== shown) location.reload(); // a place within the page is no other page
  });
  addEventListener("online", flush);
  setInterval(async () => {
    if (document.visibilityState === "visible" && (await waiting()).some((each) => !each.refused)) flush();
  }, 10000);
  ready();
})();
