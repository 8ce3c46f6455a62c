// Draws a panel: the kernel describes parts, this file makes native controls of them.
// Words are only ever set as text. The kinds of part, with their fields:
//   heading {text}  text {text, tone}  steps {items}  list {items}  table {caption, head, rows, key?}
//   controls {items: [knob | choice]}  entry {label, value, hint, action}
//   form {label, fields: [{key, label, value, why, options?, lines?}], action}
//   options {label, options, value}  buttons {items: [{key, label, main, off, pressed?}]}
//   picture {cover?}  pointed {text}  sentence {}  verdict {text, tone}
//   sound {action, label, caution}: plays what comes for it once its button was pressed
//   caution {title, short, text, sources}  ticks {label, items}
// A part with a key takes its words from `texts[key]` where that is given; a table its rows.

const REST_MS = 700; // a screen reader hears the sentence once the knob has rested this long
const ANCHORS = ["start", "middle", "end"];
const MODERATE = 0.5; // volume at which a sound begins, of the browser's own
const POINTED_WITHIN = 12; // pixels of the picture within which a line counts as pointed at

// Every panel loads this file for itself, so the count is kept where all of them see it.
function nextPanel() {
  const count = Number(document.documentElement.dataset.rxPanels || 0) + 1;
  document.documentElement.dataset.rxPanels = count;
  return count;
}

// A number and its unit stay on one line.
const QUANTITY = /(\d) (?=(?:[fpnµmkMG]?(?:Hz|F|H|V|A|Ω|W|s|J|m)|dBm?|%|ppm|°C?)(?![\p{L}\d]))/gu;
const glue = (words) => words.replace(QUANTITY, "$1\u00a0");

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  // A choice keeps its words as they are, since a reader may look for them by typing.
  node.append(...children.map((child) =>
    (typeof child === "string" && tag !== "option" ? glue(child) : child)));
  return node;
}

// JupyterLab takes keys for its command mode; a control inside a panel keeps its own.
function keepKeys(node) {
  node.setAttribute("data-lm-suppress-shortcuts", "true");
  node.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") passOn(event, node);
  });
  return node;
}

// Saving is the page's, wherever the hand is: the same key, from beside the controls.
function passOn(event, node) {
  event.preventDefault();
  const { key, code, keyCode, ctrlKey, metaKey, shiftKey } = event;
  (node.closest(".rx-panel")?.parentElement ?? document.body).dispatchEvent(new KeyboardEvent(
    "keydown", { key, code, keyCode, ctrlKey, metaKey, shiftKey, bubbles: true, cancelable: true }));
}

function render({ model, el }) {
  const uid = `rx${nextPanel()}-`;
  const drawn = `${uid}picture-`; // a node of the picture may be called as a control is
  const landmark = model.get("landmark");
  const root = make(landmark ? "section" : "div", { class: "rx-panel",
    role: landmark ? null : "note", "aria-label": model.get("label") });
  const spoken = make("div", { class: "rx-spoken", role: "status", "aria-live": "polite" });
  const lost = make("p", { class: "rx-lost", role: "alert" },
    "The kernel behind this figure is gone. Press “Run this lesson” above to wake it.");
  el.replaceChildren(root);

  const words = new Map();   // key -> function(text)
  const controls = new Map(); // key -> function(position)
  const players = new Map();  // key -> function(sound file), of each sound
  const positions = {};      // of what was turned here, until the kernel says otherwise
  let built = [];             // [{part as JSON, node}]
  let scene = null;
  let pointed = null;         // where the name of what is pointed at is written
  let resting = 0;
  let turns = 0;

  const text = (key, fallback = "") => (key && model.get("texts")[key]) ?? fallback ?? "";
  const tell = (event, key, value) => {
    // What is typed or pressed from now on overrules where the slider was left.
    delete positions[key.replace("reset:", "")];
    model.send({ event, key, value });
  };
  const turn = (key, position) => {
    positions[key] = position;
    model.set("turned", { step: ++turns, positions: { ...positions } });
    model.save_changes();
  };

  function press(key, look, ...inside) {
    const button = keepKeys(make("button", { type: "button", class: look, "data-key": key }, ...inside));
    button.addEventListener("click", () => tell("press", key, null));
    return button;
  }

  // ---- the kinds of part -------------------------------------------------
  const kinds = {
    heading: (part) => make("div", { class: "rx-heading", role: "heading", "aria-level": 3 }, part.text),
    text(part) {
      const node = make("p", { class: `rx-text rx-${part.tone || "plain"}` }, text(part.key, part.text));
      if (part.key) words.set(part.key, (t) => { node.textContent = glue(t); node.hidden = !t; });
      node.hidden = !node.textContent;
      return node;
    },
    verdict: (part) => make("p", { class: `rx-text rx-verdict rx-${part.tone || "plain"}`, role: "status" }, part.text),
    list: (part) => make("ul", {}, ...part.items.map((item) => make("li", {}, item))),
    steps: (part) => make("ol", { class: "rx-steps" }, ...part.items.map((item) => make("li", {}, item))),
    // A heading with a key sorts, a row with a key can be looked at: both are buttons.
    table(part) {
      const head = make("tr", {}, ...part.head.map((cell) => {
        if (!cell.key) return make("th", { scope: "col" }, cell);
        const mark = { ascending: " ▲", descending: " ▼" }[cell.sort] || "";
        return make("th", { scope: "col", "aria-sort": cell.sort },
          press(cell.key, "rx-sort", cell.text, make("span", { "aria-hidden": "true" }, mark)));
      }));
      const rows = part.rows.map((row) => {
        const node = make("tr", { class: row.picked ? "rx-picked" : null }, ...(row.cells || row).map((cell, i) =>
          make(i ? "td" : "th", i ? {} : { scope: "row" }, !i && row.key ? press(row.key, "rx-pick", cell) : cell)));
        if (row.key) {
          node.querySelector("button").setAttribute("aria-pressed", Boolean(row.picked));
          node.addEventListener("click", (event) => {
            if (!event.target.closest("button")) tell("press", row.key, null);
          });
        }
        return node;
      });
      const body = make("tbody", {}, ...rows);
      if (part.key) words.set(part.key, (now) => showRows(body, now || []));
      return make("div", { class: part.tall ? "rx-scroll rx-tall" : "rx-scroll", tabindex: 0, role: "group",
        "aria-label": part.caption }, make("table", {}, make("caption", {}, part.caption),
        make("thead", {}, head), body));
    },
    controls: (part) => make("div", { class: "rx-controls" },
      ...part.items.map((item) => (item.kind === "knob" ? knob(item) : choice(item)))),
    entry(part) {
      const id = uid + part.key;
      const input = keepKeys(make("input", { id, type: "text", class: "rx-entry", autocomplete: "off",
        spellcheck: "false", maxlength: part.longest || 120, "aria-describedby": `${id}-hint` }));
      input.value = part.value || "";
      const go = () => tell("type", part.key, input.value);
      input.addEventListener("keydown", (event) => { if (event.key === "Enter") go(); });
      const button = keepKeys(make("button", { type: "button", class: "rx-main", "data-key": `${part.key}-go` },
        part.action));
      button.addEventListener("click", go);
      return make("div", { class: "rx-line" }, make("label", { for: id }, part.label), input, button,
        make("span", { id: `${id}-hint`, class: "rx-quiet" }, part.hint || ""));
    },
    form(part) {
      const inputs = part.fields.map((field) => {
        const id = `${uid}${part.key}-${field.key}`;
        const input = keepKeys(field.options
          ? make("select", { id }, ...field.options.map(([value, label]) => make("option", { value }, label)))
          : field.lines
            ? make("textarea", { id, rows: 4, autocomplete: "off", spellcheck: "false", maxlength: 20000,
                "aria-describedby": `${id}-why` })
            : make("input", { id, type: "text", autocomplete: "off", spellcheck: "false", maxlength: 120,
                "aria-describedby": `${id}-why` }));
        input.value = field.value;
        return { field, input, row: make("div", { class: "rx-field" }, make("label", { for: id }, field.label),
          input, make("span", { id: `${id}-why`, class: "rx-quiet" }, field.why)) };
      });
      const button = keepKeys(make("button", { type: "button", class: "rx-main", "data-key": part.key }, part.action));
      const go = () => tell("type", part.key,
        Object.fromEntries(inputs.map(({ field, input }) => [field.key, input.value])));
      button.addEventListener("click", go);
      for (const { input } of inputs) {
        if (input.tagName === "INPUT") input.addEventListener("keydown", (event) => { if (event.key === "Enter") go(); });
      }
      return make("div", { class: "rx-form", role: "group", "aria-label": part.label },
        ...inputs.map(({ row }) => row), make("div", { class: "rx-line" }, button));
    },
    options(part) {
      const list = part.options.map((label, number) => {
        const input = keepKeys(make("input", { type: "radio", name: uid + part.key, value: number,
          checked: part.value === number }));
        input.addEventListener("change", () => tell("pick", part.key, number));
        return make("label", { class: "rx-option" }, input, label);
      });
      return make("fieldset", { class: "rx-options" }, make("legend", {}, part.label), ...list);
    },
    buttons: (part) => make("div", { class: "rx-line" }, ...part.items.map((item) => {
      const button = keepKeys(make("button", { type: "button", class: item.main ? "rx-main" : "rx-plain",
        disabled: item.off, "aria-pressed": item.pressed == null ? null : String(item.pressed),
        "data-key": item.key }, item.label));
      button.addEventListener("click", () => tell("press", item.key, null));
      return button;
    })),
    caution: (part) => make("div", { class: "rx-caution", role: "note" },
      make("p", {}, make("strong", {}, `⚠ Caution: ${part.title}.`), ` ${part.short}`),
      make("details", {}, keepKeys(make("summary", {}, "Why, and the sources")), make("p", {}, part.text),
        make("ul", { class: "rx-quiet" }, ...part.sources.map((source) => make("li", {}, source))))),
    ticks(part) {
      const boxes = part.items.map((_, number) => {
        const box = keepKeys(make("input", { type: "checkbox", id: `${uid}${part.key}-${number}` }));
        box.addEventListener("change", () => tell("tick", part.key, { number, on: box.checked }));
        return box;
      });
      words.set(part.key, (on) => boxes.forEach((box, number) => { box.checked = Boolean(on[number]); }));
      return make("fieldset", { class: "rx-options" }, make("legend", {}, part.label),
        ...boxes.map((box, number) => make("label", { class: "rx-option" }, box, part.items[number])));
    },
    sound: (part) => sound(part),
    picture: (part) => (part.cover ? covered(part.cover) : picture()),
    pointed(part) {
      pointed = make("p", { class: "rx-text rx-quiet rx-pointed" }, part.text);
      pointed.dataset.rest = part.text;
      return pointed;
    },
    sentence(part) {
      const node = make("p", { class: "rx-sentence" }, text(part.key));
      words.set(part.key, (t) => {
        if (scene) scene.box.setAttribute("aria-label", t);
        if (node.textContent === glue(t)) return;
        node.textContent = glue(t);
        clearTimeout(resting);
        resting = setTimeout(() => { spoken.textContent = t; }, REST_MS);
      });
      return node;
    },
  };

  // ---- a sound: a button, and the browser's own player once there is something to play ----
  function sound(part) {
    const id = uid + part.key;
    const player = keepKeys(make("audio", { controls: true, hidden: true, "aria-label": part.label,
      "aria-describedby": `${id}-words` }));
    player.volume = MODERATE;
    const said = make("p", { id: `${id}-words`, class: "rx-text rx-said", role: "status", hidden: true });
    words.set(part.key, (t) => { said.textContent = glue(t); said.hidden = !t; });
    const button = keepKeys(make("button", { type: "button", class: "rx-plain", "data-key": part.key },
      part.action));
    let pressed = false; // here, since the same panel may stand in another window too
    button.addEventListener("click", () => { pressed = true; tell("press", part.key, null); });
    player.addEventListener("play", () => {
      for (const other of document.querySelectorAll(".rx-panel audio")) if (other !== player) other.pause();
    });
    players.set(part.key, (file) => {
      hush(player);
      player.src = URL.createObjectURL(file);
      player.hidden = false;
      // A browser may want the second press on the player itself; then its controls are there.
      if (pressed) player.play().catch(() => {});
      pressed = false;
    });
    return make("div", { class: "rx-sound" }, make("div", { class: "rx-line" }, button, player,
      make("span", { class: "rx-quiet" }, part.caution)), said);
  }

  function hush(player) {
    player.pause();
    if (player.src) URL.revokeObjectURL(player.src);
  }

  const tableRow = (row) => make("tr", {}, ...row.map((cell, i) =>
    make(i ? "td" : "th", i ? {} : { scope: "row" }, cell)));

  // Rows that stay keep their nodes, so that a drag only writes what changed.
  function showRows(body, rows) {
    while (body.rows.length > rows.length) body.lastChild.remove();
    rows.forEach((row, i) => {
      const cells = (body.rows[i] ?? body.appendChild(tableRow(row))).cells;
      row.forEach((cell, j) => { if (cells[j].textContent !== glue(cell)) cells[j].textContent = glue(cell); });
    });
  }

  // ---- a knob: native slider, exact entry, reset -------------------------
  function knob(item) {
    const id = uid + item.key;
    const slider = keepKeys(make("input", { id, type: "range", min: 0, max: item.stops, step: "any",
      disabled: item.off, "aria-describedby": `${id}-range` }));
    const exact = keepKeys(make("input", { type: "text", class: "rx-exact", disabled: item.off,
      autocomplete: "off", spellcheck: "false", maxlength: 60,
      "aria-label": `${item.label}: exact value with its unit`, "aria-describedby": `${id}-fault` }));
    const reset = keepKeys(make("button", { type: "button", class: "rx-plain rx-reset", disabled: item.off,
      title: `Back to ${item.start_text}`, "aria-label": `Reset ${item.label} to ${item.start_text}` }, "↺"));
    const fault = make("p", { id: `${id}-fault`, class: "rx-text rx-bad", role: "alert", hidden: true });

    const put = (position) => { slider.value = position; };
    const say = (t) => {
      slider.setAttribute("aria-valuetext", t);
      if (document.activeElement !== exact || exact.dataset.typing !== "yes") exact.value = t;
    };
    const move = (position) => {
      const there = Math.min(item.stops, Math.max(0, Math.round(position)));
      put(there);
      turn(item.key, there);
    };
    slider.addEventListener("input", () => move(Number(slider.value)));
    slider.addEventListener("keydown", (event) => {
      const coarse = event.shiftKey ? item.coarse : 1;
      const step = { ArrowRight: coarse, ArrowUp: coarse, ArrowLeft: -coarse, ArrowDown: -coarse,
        PageUp: item.coarse, PageDown: -item.coarse, Home: -Infinity, End: Infinity }[event.key];
      if (step === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      // From between two stops a step goes to the next stop, not past it.
      const here = Number(slider.value);
      const base = step > 0 ? Math.floor(here + 1e-6) : Math.ceil(here - 1e-6);
      move(Number.isFinite(step) ? base + step : step < 0 ? 0 : item.stops);
    });
    exact.addEventListener("input", () => { exact.dataset.typing = "yes"; });
    const done = () => {
      if (exact.dataset.typing !== "yes") return;
      exact.dataset.typing = "no";
      tell("type", item.key, exact.value);
    };
    exact.addEventListener("keydown", (event) => {
      if (event.key === "Enter") done();
      if (event.key === "Escape") { exact.dataset.typing = "no"; exact.value = text(item.key); }
    });
    exact.addEventListener("blur", done);
    reset.addEventListener("click", () => tell("press", `reset:${item.key}`, null));

    put(model.get("texts").at?.[item.key] ?? item.position);
    say(text(item.key));
    words.set(item.key, say);
    words.set(`${item.key}:fault`, (t) => {
      const mended = fault.textContent && !t;
      fault.textContent = glue(t);
      fault.hidden = !t;
      if (mended) say(text(item.key)); // else the field would go on showing what was refused
    });
    controls.set(item.key, (position) => {
      delete positions[item.key];
      put(position);
      say(text(item.key)); // also where it was written differently: 3500 kHz for 3.5 MHz
    });
    return make("div", { class: "rx-knob", "data-key": item.key },
      make("div", { class: "rx-top" }, make("label", { for: id }, item.label),
        make("span", { id: `${id}-range`, class: "rx-range" }, item.range_text)),
      slider, exact, reset, fault);
  }

  function choice(item) {
    const id = uid + item.key;
    const select = keepKeys(make("select", { id, disabled: item.off },
      ...item.options.map((label, number) => make("option", { value: number }, label))));
    const put = (position) => { select.value = position; };
    select.addEventListener("change", () => turn(item.key, Number(select.value)));
    put(model.get("texts").at?.[item.key] ?? item.position);
    controls.set(item.key, put);
    return make("div", { class: "rx-knob rx-choice", "data-key": item.key },
      make("label", { for: id }, item.label), select);
  }

  // ---- the picture: an SVG drawn once, its nodes moved --------------------
  // Of the picture's own size, so that nothing jumps when it is uncovered.
  function covered(words) {
    const { height, width } = model.get("picture");
    scene = null;
    return make("div", { class: "rx-picture rx-covered", style: `aspect-ratio: ${width} / ${height}` },
      make("p", {}, words));
  }

  function picture() {
    const { svg, nodes, height, width } = model.get("picture");
    // Focusable, since in a narrow page it scrolls sideways rather than shrink its words away.
    const box = make("div", { class: "rx-picture", role: "img", "aria-label": text("sentence"), tabindex: 0 });
    const drawing = new DOMParser().parseFromString(svg.replaceAll("rxid-", drawn), "image/svg+xml");
    const root = document.importNode(drawing.documentElement, true);
    root.setAttribute("aria-hidden", "true");
    root.removeAttribute("width");
    root.removeAttribute("height");
    root.style.aspectRatio = `${width} / ${height}`;
    box.append(root);
    scene = { box, root, movers: nodes.map((node) => ({ ...mover(root, node), named: node.named })) };
    if (nodes.some((node) => node.named)) {
      box.addEventListener("pointermove", (event) => lookAt({ x: event.clientX, y: event.clientY }));
      box.addEventListener("pointerleave", () => lookAt(null));
    }
    showFrame();
    return box;
  }

  function mover(root, node) {
    const group = root.querySelector(`[id="${node.id.replace("rxid-", drawn)}"]`);
    if (node.kind === "text") return { kind: "text", group, text: group.querySelector("text") };
    if (node.kind === "marks") {
      const uses = [...group.querySelectorAll("use")];
      return { kind: "marks", group, uses };
    }
    const paths = [...group.children].filter((child) => child.tagName === "path");
    return { kind: "path", group, path: paths[0], closed: node.closed };
  }

  const round = (value) => Math.round(value * 100) / 100;

  // Words may change where nothing moves, so either change asks; both at once draw once.
  function showFrame() {
    const bytes = model.get("frame");
    if (!scene || !bytes || !bytes.byteLength) return;
    if (scene.bytes === bytes && scene.texts === model.get("texts").picture) return;
    scene.bytes = bytes;
    scene.texts = model.get("texts").picture;
    // A copy, since a view's offset need not be a multiple of four.
    const state = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
    const labels = model.get("texts").picture || [];
    let at = 0;
    let label = 0;
    for (const node of scene.movers) {
      const visible = state[at++];
      node.group.style.display = visible ? "" : "none";
      if (node.kind === "text") {
        node.text.style.textAnchor = ANCHORS[state[at++]];
        const x = round(state[at++]);
        const y = round(state[at++]);
        const t = labels[label++] ?? "";
        node.text.setAttribute("x", x);
        node.text.setAttribute("y", y);
        node.text.removeAttribute("transform");
        if (node.text.textContent !== t) node.text.textContent = t;
        continue;
      }
      const count = state[at++];
      const end = at + 2 * count;
      if (node.named) node.place = visible ? state.subarray(at, end) : [];
      if (visible && node.kind === "path") node.path.setAttribute("d", outline(state, at, end, node.closed));
      if (visible && node.kind === "marks") placeMarks(node, state, at, end);
      at = end;
    }
    if (scene.spot) lookAt(scene.spot);
    root.dataset.step = model.get("texts").step ?? "";
  }

  // Write the name of the nearest line under a spot of the window; it may move away under it.
  function lookAt(spot) {
    if (!scene) return;
    scene.spot = spot;
    const named = scene.movers.filter((node) => node.named);
    const across = spot && scene.root.getScreenCTM();
    const here = across && new DOMPoint(spot.x, spot.y).matrixTransform(across.inverse());
    let best = -1;
    let least = POINTED_WITHIN;
    if (here) named.forEach((node, i) => {
      const away = distance(here, node.place || []);
      if (away < least) { best = i; least = away; }
    });
    named.forEach((node, i) => node.group.classList.toggle("rx-pointed-at", i === best));
    const found = best < 0 ? "" : (model.get("texts").names || [])[best];
    if (pointed) pointed.textContent = glue(found || pointed.dataset.rest);
  }

  function distance(here, points) {
    let least = Infinity;
    for (let i = 0; i + 1 < points.length; i += 2) {
      const next = i + 3 < points.length ? i + 2 : i;
      const [x, y] = [points[i], points[i + 1]];
      const [dx, dy] = [points[next] - x, points[next + 1] - y];
      const share = ((here.x - x) * dx + (here.y - y) * dy) / (dx * dx + dy * dy || 1);
      const t = Math.min(1, Math.max(0, share));
      const away = Math.hypot(here.x - x - t * dx, here.y - y - t * dy);
      if (away < least) least = away; // false for what is not a number
    }
    return least;
  }

  function outline(state, at, end, closed) {
    let d = "";
    let pen = "M";
    for (; at < end; at += 2) {
      const x = state[at];
      const y = state[at + 1];
      if (x !== x || y !== y) { pen = "M"; continue; }
      d += pen + Math.round(x * 100) / 100 + " " + Math.round(y * 100) / 100;
      pen = "L";
    }
    return closed && d ? d + "Z" : d;
  }

  function placeMarks(node, state, at, end) {
    let i = 0;
    for (; at < end; i += 1, at += 2) {
      if (!node.uses[i]) {
        node.uses[i] = node.uses[0].cloneNode(true);
        node.uses[0].parentNode.append(node.uses[i]);
      }
      const shown = state[at] === state[at] && state[at + 1] === state[at + 1];
      node.uses[i].style.display = shown ? "" : "none";
      if (!shown) continue;
      node.uses[i].setAttribute("x", round(state[at]));
      node.uses[i].setAttribute("y", round(state[at + 1]));
    }
    for (; i < node.uses.length; i += 1) node.uses[i].style.display = "none";
  }

  // ---- keeping up with the kernel ----------------------------------------
  // Parts that stay the same keep their nodes, so focus and caret survive.
  function build() {
    const parts = model.get("parts");
    const focused = root.contains(document.activeElement) ? document.activeElement : null;
    const focusKey = focused && (focused.dataset.key || focused.id);
    const next = parts.map((part, i) => {
      const json = JSON.stringify(part);
      const old = built[i];
      return old && old.json === json ? old : { json, node: kinds[part.kind](part) };
    });
    built = next;
    const wanted = [...next.map((b) => b.node), faultLine, spoken, lost];
    place(wanted);
    if (focused && !root.contains(focused) && focusKey) {
      const again = root.querySelector(`[id="${focusKey}"], [data-key="${focusKey}"]`);
      (again || root.querySelector(".rx-verdict"))?.focus?.();
    }
    words.forEach((put, key) => { const t = text(key); if (t !== undefined) put(t); });
  }

  // A node that stays is never taken out, not even for a moment: a slider would lose its drag.
  function place(wanted) {
    const staying = new Set(wanted);
    for (const child of [...root.children]) {
      if (staying.has(child)) continue;
      child.querySelectorAll("audio").forEach(hush); // it would go on playing unseen
      child.remove();
    }
    let here = root.firstChild;
    for (const node of wanted) {
      if (node === here) here = here.nextSibling;
      else root.insertBefore(node, here);
    }
  }
  const faultLine = make("p", { class: "rx-text rx-bad", role: "alert", hidden: true });
  words.set("fault", (t) => { faultLine.textContent = glue(t); faultLine.hidden = !t; });

  let shown = {};
  function showTexts() {
    const texts = model.get("texts");
    for (const [key, put] of words) {
      const t = texts[key] ?? "";
      if (shown[key] !== t) put(t);
    }
    shown = texts;
    showFrame();
  }
  const showKnobs = () => {
    for (const [key, position] of Object.entries(model.get("knobs"))) controls.get(key)?.(position);
  };

  build();
  shown = model.get("texts");
  // The widget library says that the line to the kernel was cut, but not that it is whole again:
  // that is known from whatever comes along it.
  const gone = (isGone) => {
    root.classList.toggle("rx-gone", isGone);
    // Ticks end with their kernel, and what they uncovered goes with them.
    root.classList.toggle("rx-covers", isGone && (
      model.get("gated") || model.get("parts").some((part) => part.kind === "ticks")));
  };
  // A file that the kernel made is played, or handed to the browser's own downloads.
  function hand(message, buffers) {
    if (message.play) players.get(message.play)?.(new Blob([buffers[0]], { type: message.kind }));
    if (!message.save) return;
    const link = make("a", { download: message.save,
      href: URL.createObjectURL(new Blob([buffers[0]], { type: message.kind })) });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }
  const hearing = (show) => () => { gone(false); show(); };
  const listeners = {
    "change:parts": hearing(build), "change:texts": hearing(showTexts),
    "change:frame": hearing(showFrame), "change:knobs": hearing(showKnobs),
    comm_live_update: () => gone(true), "msg:custom": hand,
  };
  root.addEventListener("rx-kernel-gone", () => gone(true));
  for (const [event, listener] of Object.entries(listeners)) model.on(event, listener);
  return () => {
    clearTimeout(resting);
    root.querySelectorAll("audio").forEach(hush);
    for (const [event, listener] of Object.entries(listeners)) model.off(event, listener);
  };
}

export default { render };
