// The map: zoom and pan, layers, values of what is pointed at or in focus.
(() => {
  const svg = document.getElementById("map-drawing");
  const frame = document.getElementById("map-frame");
  const card = document.getElementById("map-card");
  const scale = document.getElementById("map-scale");
  const status = document.getElementById("map-status");
  const data = JSON.parse(document.getElementById("map-data").textContent);
  const box = svg.viewBox.baseVal;
  const whole = { x: 0, y: 0, w: box.width, h: box.height };
  let view = { ...whole };

  const CLOSEST = 16;
  const STEP = 1.5;
  const LIST_OF_KEY = { w: ["wells"], c: ["lines"], f: ["arrows"], t: ["triangles"], a: ["aside"], p: ["pumped"] };

  // What each mark says, for the card and for screen readers.
  const factsOf = (mark) => data[mark.dataset.list][Number(mark.dataset.index)];
  for (const mark of svg.querySelectorAll(".mark")) {
    const facts = factsOf(mark);
    const lines = facts.lines.map(([name, value]) => `${name} ${value}`);
    mark.setAttribute("aria-label", [facts.title, ...lines].join("; "));
  }

  // How far the drawing reaches beyond the first view.
  const content = svg.getBBox();
  const reach = {
    west: Math.min(0, content.x - 40), north: Math.min(0, content.y - 40),
    east: Math.max(whole.w, content.x + content.width + 40), south: Math.max(whole.h, content.y + content.height + 40),
  };
  const farthest = Math.max(1, (reach.east - reach.west) / whole.w, (reach.south - reach.north) / whole.h);
  const placeLabels = labelsOf(svg);
  const checkbox = (layer) => document.querySelector(`[data-shows="${layer}"]`);

  const drawScale = (k) => {
    const widest = (170 * k) * data.ground;
    const power = 10 ** Math.floor(Math.log10(widest));
    const length = [5, 2, 1].map((m) => m * power).find((l) => l <= widest);
    const text = length >= 1 ? length.toFixed(0) : String(Number(length.toPrecision(1)));
    scale.hidden = false;
    scale.style.width = `${length / data.ground / k}px`;
    scale.firstElementChild.textContent = `${text} ${data.ground_unit}`;
  };

  const apply = (pixels) => {
    svg.setAttribute("viewBox", `${view.x} ${view.y} ${view.w} ${view.h}`);
    const k = pixels ? view.w / pixels : 1 / svg.getScreenCTM().a;
    svg.style.setProperty("--k", k);
    drawScale(k);
    placeLabels(view, k, checkbox("posts").checked);
    const zoom = `zoom ${(whole.w / view.w).toFixed(1)}`;
    if (status.textContent !== zoom) status.textContent = zoom;
  };

  let waiting = false;
  const redraw = () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      apply();
    });
  };

  const clamp = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));
  const look = (next) => {
    const w = clamp(next.w, whole.w / CLOSEST, whole.w * farthest);
    const h = (w * whole.h) / whole.w;
    const x = clamp(next.x, reach.west - w / 2, reach.east - w / 2);
    const y = clamp(next.y, reach.north - h / 2, reach.south - h / 2);
    view = { x, y, w, h };
    putAway();
    redraw();
  };
  const lookWhole = () => look(whole);
  // Keeps one point of the drawing where it is.
  const zoom = (factor, at = { x: view.x + view.w / 2, y: view.y + view.h / 2 }) => {
    const w = clamp(view.w / factor, whole.w / CLOSEST, whole.w * farthest);
    const part = w / view.w;
    if (part === 1) return false;
    look({ x: at.x - (at.x - view.x) * part, y: at.y - (at.y - view.y) * part, w });
    return true;
  };
  const move = (x, y) => look({ ...view, x: view.x + x * view.w, y: view.y + y * view.h });
  const drawingPoint = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());

  // The card.
  let told = null;
  const putAway = () => {
    card.hidden = true;
    told?.classList.remove("hot");
    told = null;
  };
  const tell = (mark, x, y) => {
    if (told !== mark) {
      putAway();
      told = mark;
      mark.classList.add("hot");
      const facts = factsOf(mark);
      const title = document.createElement("strong");
      title.append(Object.assign(document.createElement("bdi"), { textContent: facts.title }));
      const list = document.createElement("dl");
      for (const [name, value] of facts.lines) {
        const [dt, dd] = [document.createElement("dt"), document.createElement("dd")];
        dt.textContent = name;
        dd.append(Object.assign(document.createElement("bdi"), { textContent: value }));
        list.append(dt, dd);
      }
      card.replaceChildren(title, list);
      card.hidden = false;
    }
    const space = frame.getBoundingClientRect();
    const left = x - space.left + 16;
    const top = y - space.top + 14;
    const flipped = left + card.offsetWidth > space.width ? x - space.left - card.offsetWidth - 14 : left;
    card.style.left = `${Math.max(4, flipped)}px`;
    card.style.top = `${clamp(top, 4, space.height - card.offsetHeight - 4)}px`;
  };

  // Marks are small: what lies up to four pixels off is meant too, nearest first.
  const AROUND = [[0, 0]];
  for (let d = 1; d <= 4; d += 1) {
    AROUND.push([d, 0], [-d, 0], [0, d], [0, -d], [d, d], [-d, d], [d, -d], [-d, -d]);
  }
  const ORDER = ["wells", "pumped", "aside", "arrows", "lines", "features", "triangles"];
  const pointedAt = (event) => {
    const found = AROUND.map(([x, y]) => document.elementFromPoint(event.clientX + x, event.clientY + y)?.closest(".mark"));
    const marks = found.filter((mark) => mark && svg.contains(mark));
    marks.sort((a, b) => ORDER.indexOf(a.dataset.list) - ORDER.indexOf(b.dataset.list));
    return marks[0];
  };

  // Pointers: drag, pinch, hover.
  const down = new Map();
  const apart = () => {
    const [a, b] = [...down.values()];
    return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  };
  svg.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    svg.setPointerCapture(event.pointerId);
    down.set(event.pointerId, event);
    const mark = pointedAt(event);
    if (mark) tell(mark, event.clientX, event.clientY);
  });
  svg.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) {
      const mark = pointedAt(event);
      if (mark) tell(mark, event.clientX, event.clientY);
      else putAway();
      return;
    }
    const pinched = down.size === 2 ? apart() : 0;
    down.set(event.pointerId, event);
    if (pinched > 0) {
      zoom(apart() / pinched, drawingPoint(event));
    } else if (down.size === 1) {
      const pixel = svg.getScreenCTM().a;
      const [x, y] = [before.clientX - event.clientX, before.clientY - event.clientY];
      if (x === 0 && y === 0) return;
      svg.classList.add("dragged");
      look({ ...view, x: view.x + x / pixel, y: view.y + y / pixel });
    }
  });
  const lift = (event) => {
    down.delete(event.pointerId);
    svg.classList.remove("dragged");
  };
  svg.addEventListener("pointerup", lift);
  svg.addEventListener("pointercancel", lift);
  svg.addEventListener("pointerleave", () => putAway());

  // A wheel that is scrolling the page goes on doing so when the map comes under it.
  let scrolled = -Infinity;
  addEventListener("wheel", (event) => {
    if (!svg.contains(event.target)) scrolled = event.timeStamp;
  }, { passive: true });
  svg.addEventListener("wheel", (event) => {
    if (event.timeStamp - scrolled < 400) {
      scrolled = event.timeStamp;
      return;
    }
    const turn = event.deltaMode === 1 ? event.deltaY * 30 : event.deltaY;
    if (zoom(1.0015 ** -turn, drawingPoint(event))) event.preventDefault();
  }, { passive: false });

  // Keys, for the map and every mark in it.
  const focusOn = (mark) => {
    for (const other of svg.querySelectorAll('.mark[tabindex="0"]')) other.setAttribute("tabindex", "-1");
    mark.setAttribute("tabindex", "0");
    mark.focus({ preventScroll: true });
  };
  const step = (lists, back) => {
    const marks = [...svg.querySelectorAll(".mark")].filter((m) => lists.includes(m.dataset.list) && !m.closest(".off"));
    if (marks.length === 0) return;
    const now = marks.indexOf(document.activeElement);
    const next = now < 0 ? (back ? marks.length - 1 : 0) : (now + (back ? marks.length - 1 : 1)) % marks.length;
    focusOn(marks[next]);
  };
  svg.addEventListener("focusin", (event) => {
    const mark = event.target.closest?.(".mark");
    if (!mark) return;
    const at = mark.getBBox();
    const moved = mark.transform.baseVal.consolidate()?.matrix;
    const middle = moved ? { x: moved.e, y: moved.f } : { x: at.x + at.width / 2, y: at.y + at.height / 2 };
    const seen = middle.x > view.x && middle.x < view.x + view.w && middle.y > view.y && middle.y < view.y + view.h;
    if (!seen) {
      look({ ...view, x: middle.x - view.w / 2, y: middle.y - view.h / 2 });
      apply();
    }
    const p = new DOMPoint(middle.x, middle.y).matrixTransform(svg.getScreenCTM());
    tell(mark, p.x, p.y);
  });
  svg.addEventListener("focusout", () => putAway());
  svg.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const acts = {
      "+": () => zoom(STEP), "=": () => zoom(STEP), "-": () => zoom(1 / STEP), _: () => zoom(1 / STEP), "−": () => zoom(1 / STEP),
      0: lookWhole,
      ArrowLeft: () => move(-0.12, 0), ArrowRight: () => move(0.12, 0), ArrowUp: () => move(0, -0.12), ArrowDown: () => move(0, 0.12),
      Escape: () => (document.activeElement === svg ? putAway() : svg.focus()),
    };
    const lists = LIST_OF_KEY[event.key.toLowerCase()];
    const act = lists ? () => step(lists, event.shiftKey) : acts[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });

  // Buttons and layers.
  const zooms = { in: () => zoom(STEP), out: () => zoom(1 / STEP), whole: lookWhole };
  for (const button of document.querySelectorAll("[data-zoom]")) {
    button.addEventListener("click", zooms[button.dataset.zoom]);
  }
  const showLayer = (input) => {
    svg.querySelector(`[data-layer="${input.dataset.shows}"]`)?.classList.toggle("off", !input.checked);
  };
  for (const input of document.querySelectorAll("[data-shows]")) {
    input.addEventListener("change", () => {
      showLayer(input);
      apply();
    });
    showLayer(input);
  }

  // On paper: the whole site, with labels of their size on a page.
  const PAPER = 690;
  let before = null;
  addEventListener("beforeprint", () => {
    before = view;
    view = { ...whole };
    putAway();
    apply(PAPER);
  });
  addEventListener("afterprint", () => {
    view = before ?? view;
    apply();
  });

  document.querySelector(".map-tools").hidden = false;
  addEventListener("resize", redraw);
  apply();
})();
