// Many pictures put in at once: sent one a request, so that a slow network shows how far it is and
// one that fails is sent again alone; then taken in together, for the labels in them tell of each
// other. Without script the form sends up to its limit in one go.
const form = document.querySelector("form[data-hold]");
const box = form.querySelector("[data-progress]");
const TRIES = 3;
const PICTURE = /\.(jpe?g|png|heic|heif)$/i;
let dropped = [];

const say = (text, done = null, all = 1) => {
  box.hidden = false;
  box.querySelector("p").textContent = text;
  const bar = box.querySelector("progress");
  bar.hidden = done === null;
  bar.max = all;
  bar.value = done ?? 0;
};

// A network that failed is tried again; what the server refuses is not.
const hold = async (file) => {
  const body = new FormData();
  body.append("held", form.elements.key.value);
  body.append("paths", file, file.name);
  for (let tried = 1; ; tried += 1) {
    try {
      const answer = await fetch(form.dataset.hold, { method: "POST", body });
      if (answer.ok || answer.status < 500) return answer.ok;
    } catch {
      // as with a server that could not answer
    }
    if (tried === TRIES) throw new Error("no network");
    await new Promise((done) => setTimeout(done, 1000 * tried));
  }
};

let sent = new Set();
const send = async () => {
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const chosen = [...inputs.flatMap((each) => [...each.files]), ...dropped];
  const files = chosen.filter((each) => each.type.startsWith("image/") || PICTURE.test(each.name));
  if (!files.length) return say("No pictures chosen. Choose some, or drop them here.");
  const button = form.querySelector("button[type=submit]");
  button.disabled = true;
  const refused = [];
  try {
    for (const [at, file] of files.entries()) {
      say(`${at} of ${files.length} sent`, at, files.length);
      if (sent.has(file)) continue; // before the network went
      if (await hold(file)) sent.add(file);
      else refused.push(file.name);
    }
  } catch {
    button.disabled = false;
    return say("The network is gone. Press the button again when it is back: it goes on from here.");
  }
  if (refused.length === files.length) {
    button.disabled = false;
    return say(`Not sent, too large or no pictures: ${refused.join(", ")}`);
  }
  const but = refused.length ? ` Not sent, too large or no pictures: ${refused.join(", ")}.` : "";
  say(`${files.length - refused.length} of ${files.length} sent.${but} Reading the labels in them …`, files.length, files.length);
  form.elements.held.value = form.elements.key.value;
  for (const each of inputs) each.disabled = true;
  return form.submit();
};

form.addEventListener("submit", (event) => {
  event.preventDefault();
  send();
});

// ---- dropped, folders too ------------------------------------------------------------------------
const filesIn = async (entry) => {
  if (entry.isFile) return [await new Promise((done, failed) => entry.file(done, failed))];
  const reader = entry.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((done, failed) => reader.readEntries(done, failed)); // in hundreds
    if (!some.length) return found;
    for (const each of some) if (!each.name.startsWith(".")) found.push(...(await filesIn(each)));
  }
};
form.addEventListener("dragover", (event) => {
  event.preventDefault();
  form.classList.add("over");
});
form.addEventListener("dragleave", () => form.classList.remove("over"));
form.addEventListener("drop", async (event) => {
  event.preventDefault();
  form.classList.remove("over");
  const entries = [...event.dataTransfer.items].map((each) => each.webkitGetAsEntry?.()).filter(Boolean);
  const plain = [...event.dataTransfer.files];
  dropped.push(...(entries.length ? (await Promise.all(entries.map(filesIn))).flat() : plain));
  say(`${dropped.length} ready to be added`);
});

// A page that comes back from the browser's memory begins anew.
addEventListener("pageshow", (event) => event.persisted && location.reload());
