// Codes read in the page: in a photograph, which needs nothing but a file, and live from the
// camera, which browsers give to a secure page alone. No picture leaves the page unless the person
// sends it. Loaded by pages that scan; the reader (zxing/) is fetched at the first use.
//
// <input type="file" data-read-code> in a form.camera: what is photographed is read, put into the
// page's input[data-scan], and that one's form is sent. In a div.camera, within a form, it is only
// put into the field whose id is data-for. button[data-scan-live] beside it scans live.
const LONGEST = 2400; // px of a photograph's longer side: at 1600 small labels are lost
const LONGEST_LIVE = 1280;
const PAUSE = 120; // ms between two looks at the camera's picture
const BAG_CODE = /^[A-Z]\d{3,5}[A-Z]$/;
const NOTHING_READ =
  "No code read. Photograph the label again: flat, out of the glare, filling a third of the picture.";

let loading = null;
const reader = () => {
  loading ??= new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = new URL("zxing/zxing_reader.js", import.meta.url).href;
    script.addEventListener("load", () =>
      globalThis.ZXingWASM.prepareZXingModule({
        overrides: { locateFile: (file) => new URL(`zxing/${file}`, import.meta.url).href },
        fireImmediately: true,
      }).then(() => done(globalThis.ZXingWASM), failed),
    );
    script.addEventListener("error", failed);
    document.head.append(script);
  });
  loading.catch(() => (loading = null)); // without a network now, it may be there later
  return loading;
};

// The first line of every code in a picture, each once; bag codes alone where there are any.
const codesIn = async (source, width, height, longest) => {
  const zxing = await reader();
  const scale = Math.min(1, longest / Math.max(width, height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(width * scale));
  canvas.height = Math.max(1, Math.round(height * scale));
  const paper = canvas.getContext("2d", { willReadFrequently: true });
  paper.imageSmoothingQuality = "high";
  paper.drawImage(source, 0, 0, canvas.width, canvas.height);
  const read = await zxing.readBarcodes(paper.getImageData(0, 0, canvas.width, canvas.height), {
    formats: ["QRCode"],
    tryHarder: true,
    tryInvert: false,
  });
  const lines = [...new Set(read.map((each) => each.text.trim().split(/\r?\n/)[0].trim()))].filter(Boolean);
  const bags = lines.filter((line) => BAG_CODE.test(line));
  return bags.length ? bags : lines;
};

// ---- what becomes of a code ------------------------------------------------------------------------
const formOf = (element) => element.closest(".camera");
const say = (form, text, ...buttons) => {
  const out = form.querySelector("[data-read-out]");
  out.replaceChildren(...(text ? [Object.assign(document.createElement("p"), { textContent: text })] : []), ...buttons);
  out.hidden = !text;
};
const button = (text, act) => {
  const made = Object.assign(document.createElement("button"), { type: "button", textContent: text, className: "quiet" });
  made.addEventListener("click", act);
  return made;
};
const use = (form, code) => {
  const input = form.querySelector("[data-read-code]");
  const field = input.dataset.for ? document.getElementById(input.dataset.for) : document.querySelector("input[data-scan]");
  if (!field) return location.assign(`/find?${new URLSearchParams({ q: code })}`);
  field.value = code;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  input.value = "";
  if (input.dataset.for) {
    say(form, `Read: ${code}`);
    return field.focus();
  }
  say(form, `${code} …`);
  return field.form.requestSubmit();
};

// ---- a photograph ----------------------------------------------------------------------------------
const readPhotograph = async (form, file) => {
  const harder = () => {
    if (!form.matches("form")) return ""; // what else was typed would be lost
    return button("Let the stores look harder", () => {
      say(form, "Sending the picture …");
      form.requestSubmit();
    });
  };
  say(form, "Reading …");
  let picture;
  try {
    picture = await createImageBitmap(file);
  } catch {
    return say(form, "This picture cannot be opened here. Photograph the label again.", harder());
  }
  let codes;
  try {
    codes = await codesIn(picture, picture.width, picture.height, LONGEST);
  } catch {
    return say(form, "The reader could not be loaded. Is the network there? Then photograph it again.", harder());
  } finally {
    picture.close();
  }
  if (!codes.length) return say(form, NOTHING_READ, harder());
  if (codes.length > 1)
    return say(form, "Several labels are in the picture. Which one?", ...codes.map((code) => button(code, () => use(form, code))));
  return use(form, codes[0]);
};

addEventListener("change", (event) => {
  const input = event.target;
  if (!input.matches?.("input[data-read-code]") || !input.files.length) return;
  readPhotograph(formOf(input), input.files[0]);
});

// ---- live ------------------------------------------------------------------------------------------
let live = null; // {form, stream}
const stop = () => {
  if (!live) return;
  for (const track of live.stream.getTracks()) track.stop();
  const shown = live.form.querySelector("[data-live-view]");
  shown.hidden = true;
  shown.querySelector("video").srcObject = null;
  live.form.querySelector("[data-scan-live]").hidden = false;
  live = null;
};
const WHY_NO_CAMERA = {
  NotAllowedError: "The browser may not use the camera. Allow it for this page, or photograph the label.",
  NotFoundError: "There is no camera here. Photograph the label with another device, or type the code.",
  NotReadableError: "The camera is in use elsewhere. Close what uses it, or photograph the label.",
};
const start = async (form) => {
  stop();
  say(form, "");
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } },
    });
  } catch (error) {
    return say(form, WHY_NO_CAMERA[error.name] || "The camera did not start. Photograph the label instead.");
  }
  const mine = (live = { form, stream });
  const shown = form.querySelector("[data-live-view]");
  const video = shown.querySelector("video");
  shown.hidden = false;
  form.querySelector("[data-scan-live]").hidden = true;
  video.srcObject = stream;
  video.play().catch(() => {});
  shown.scrollIntoView({ block: "center" });
  shown.querySelector("button").focus({ preventScroll: true });
  while (live === mine) {
    if (video.readyState >= 2 && video.videoWidth) {
      let codes = [];
      try {
        codes = await codesIn(video, video.videoWidth, video.videoHeight, LONGEST_LIVE);
      } catch {
        if (live === mine) stop();
        return say(form, "The reader could not be loaded. Is the network there? Then scan again.");
      }
      if (live !== mine) return undefined;
      if (codes.length) {
        stop();
        return use(form, codes[0]);
      }
    }
    await new Promise((done) => setTimeout(done, PAUSE));
  }
  return undefined;
};
addEventListener("click", (event) => {
  const pressed = event.target.closest?.("button");
  if (!pressed || !formOf(pressed)) return;
  if ("scanLive" in pressed.dataset) start(formOf(pressed));
  else if ("scanStop" in pressed.dataset) stop();
  else return;
  event.preventDefault();
});
addEventListener("pagehide", stop);
addEventListener("visibilitychange", () => document.visibilityState === "hidden" && stop());
addEventListener("keydown", (event) => event.key === "Escape" && stop());

// A page that comes back from the browser's memory begins anew.
addEventListener("pageshow", (event) => {
  if (event.persisted) for (const form of document.querySelectorAll("form.camera")) (form.reset(), say(form, ""));
});
// The reader comes while the photograph is being taken.
addEventListener("click", (event) => event.target.matches?.("input[data-read-code]") && reader().catch(() => {}));

document.documentElement.classList.add("can-read");
if (isSecureContext && navigator.mediaDevices?.getUserMedia) document.documentElement.classList.add("can-scan");
