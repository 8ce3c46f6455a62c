// Runs in the page: when does a picture change, counted from the key or the pointer?
// A picture is what is drawn, read back from the page: the nodes of an SVG, the
// source of an image that has loaded, the text of a label.

window.rxWatch = (cell) => {
  const looks = {
    svg: () => [...cell.querySelectorAll(".rx-picture svg :is(path, text, use)")].map((node) =>
      node.tagName === "path" ? node.getAttribute("d")
        : `${node.getAttribute("x")} ${node.getAttribute("y")} ${node.textContent}`).join("|"),
    image: () => {
      const image = cell.querySelector(".jupyter-widgets img, .jp-RenderedImage img");
      return image && image.complete && image.naturalWidth ? image.getAttribute("src") : null;
    },
    label: () => cell.querySelector(".floor-label").textContent,
  };
  const kind = cell.querySelector(".rx-picture svg") ? "svg"
    : cell.querySelector(".jp-RenderedImage img") ? "image" : "label";
  const look = looks[kind];

  let shown = look();
  let frames = [];        // times of the frames that showed a new picture
  let due = false;
  let waiting = null;     // resolves with the frame's time
  let key = 0;
  let moves = [];

  const frame = () => {
    due = false;
    const now = performance.now();
    const picture = look();
    if (picture === null) return check();   // an image still loading: look again
    if (picture === shown) return;
    shown = picture;
    frames.push(now);
    waiting?.(now);
  };
  const check = () => { if (!due) { due = true; requestAnimationFrame(frame); } };
  const observer = new MutationObserver(check);
  observer.observe(cell, { subtree: true, childList: true, attributes: true, characterData: true });
  const onKey = (event) => { key = event.timeStamp; };
  const onMove = (event) => { if (event.buttons) moves.push(event.timeStamp); };
  window.addEventListener("keydown", onKey, true);
  window.addEventListener("pointermove", onMove, true);

  return {
    // Arm before a key is pressed; then `step` gives milliseconds from key to picture, or null.
    arm() { frames = []; key = 0; this.next = new Promise((resolve) => { waiting = resolve; }); },
    async step(limit) {
      const late = new Promise((resolve) => setTimeout(resolve, limit, null));
      const at = await Promise.race([this.next, late]);
      waiting = null;
      return at === null ? null : at - key;
    },
    startDrag() { frames = []; moves = []; },
    endDrag() {
      const last = moves.at(-1);
      const seconds = (last - moves[0]) / 1000;
      return {
        moves: moves.length, seconds,
        pictures: frames.filter((at) => at <= last).length,
        lag_ms: Math.max(0, (frames.at(-1) ?? last) - last),
        words: kind === "image" ? "" : cell.querySelector(".rx-picture svg, .floor-label").textContent,
      };
    },
    stop() {
      observer.disconnect();
      window.removeEventListener("keydown", onKey, true);
      window.removeEventListener("pointermove", onMove, true);
    },
  };
};
