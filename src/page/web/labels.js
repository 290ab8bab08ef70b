// Which labels of the map are shown at a zoom, and where: none over another, over a well or off
// the map. Wells come first, in their order, then the levels on the contours; where wells crowd, one
// level of each contour comes before them. Arrows that crowd are thinned too.
const labelsOf = (svg) => {
  const SIDES = [
    [9, -2, "start"], [9, 16, "start"], [-9, -2, "end"], [-9, 16, "end"],
    [0, -20, "middle"], [0, 22, "middle"], [12, 7, "start"], [-12, 7, "end"],
  ];
  const LINE = 13;
  const SQUARE = 80;
  const BETWEEN = 420;
  // So many wells or arrows in view crowd each other.
  const CROWD = 80;
  const STEP = 30;
  const MOST_SAMPLES = 4000;

  const place = (element) => {
    const at = element.transform.baseVal.consolidate().matrix;
    return { x: at.e, y: at.f };
  };

  const posts = [...svg.querySelectorAll(".well, .pumped, .aside")].map((mark) => {
    const texts = [...mark.querySelectorAll("text")];
    const width = Math.max(...texts.map((t) => t.getComputedTextLength()));
    return { ...place(mark), texts, width, post: mark.querySelector(".post") ?? texts[0] };
  });
  const arrows = [...svg.querySelectorAll(".arrow")].map((mark) => ({ ...place(mark), mark, widest: Number(mark.dataset.widest ?? Infinity) }));

  // Names of what stands beside the wells: at its points, or along its line from the middle outwards.
  const names = svg.querySelector(".places");
  const beside = [...svg.querySelectorAll("[data-label]")].map((mark) => {
    const points = [...mark.children].filter((part) => part.transform?.baseVal.numberOfItems > 0).map(place);
    const line = mark.querySelector("path.shape");
    const length = line?.getTotalLength() ?? 0;
    const parts = length > 0 ? Array.from({ length: 41 }, (_, i) => 0.5 + (i % 2 ? -1 : 1) * Math.ceil(i / 2) * 0.024) : [];
    const along = parts.map((part) => line.getPointAtLength(part * length));
    const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
    text.textContent = mark.dataset.label;
    text.setAttribute("class", "name place");
    names.append(text);
    const said = (post) => post.texts[0].textContent === mark.dataset.label
      && points.some((p) => Math.hypot(p.x - post.x, p.y - post.y) < 1);
    return { layer: mark.closest("[data-layer]").dataset.layer, points, along, text, width: text.getComputedTextLength(), wells: posts.filter(said) };
  });

  // Places along the contours where a level could stand, with the line's slope there.
  const layer = svg.querySelector(".levels");
  const contours = [...svg.querySelectorAll(".contour")].map((mark) => {
    const paths = [...mark.querySelectorAll("path")].map((path) => ({ path, length: path.getTotalLength() }));
    return { level: mark.dataset.level, paths, length: paths.reduce((sum, p) => sum + p.length, 0) };
  });
  const step = Math.max(STEP, contours.reduce((sum, c) => sum + c.length, 0) / MOST_SAMPLES);
  const sample = (path, length, s) => {
    const a = path.getPointAtLength(Math.max(0, s - 8));
    const b = path.getPointAtLength(Math.min(length, s + 8));
    let turn = (Math.atan2(b.y - a.y, b.x - a.x) * 180) / Math.PI;
    if (turn > 90) turn -= 180;
    if (turn <= -90) turn += 180;
    const { x, y } = path.getPointAtLength(s);
    return { x, y, turn };
  };
  const lines = contours.map(({ level, paths, length }) => {
    const samples = paths.flatMap((p) => {
      const count = Math.max(1, Math.floor(p.length / step));
      return Array.from({ length: count }, (_, i) => {
        // The middle of a stretch first, then outwards.
        const off = Math.abs(i - (count - 1) / 2) / count;
        return { ...sample(p.path, p.length, ((i + 0.5) * p.length) / count), off };
      });
    });
    samples.sort((p, q) => p.off - q.off);
    return { level, samples, length };
  });

  const crowd = () => {
    const squares = new Map();
    const keys = function* keys(box) {
      for (let i = Math.floor(box[0] / SQUARE); i <= Math.floor(box[2] / SQUARE); i += 1) {
        for (let j = Math.floor(box[1] / SQUARE); j <= Math.floor(box[3] / SQUARE); j += 1) yield `${i} ${j}`;
      }
    };
    return {
      add(box, owner) {
        for (const key of keys(box)) {
          if (!squares.has(key)) squares.set(key, []);
          squares.get(key).push([box, owner]);
        }
      },
      free(box, owner) {
        for (const key of keys(box)) {
          for (const [other, its] of squares.get(key) ?? []) {
            const apart = box[0] >= other[2] || other[0] >= box[2] || box[1] >= other[3] || other[1] >= box[3];
            if (!apart && its !== owner) return false;
          }
        }
        return true;
      },
    };
  };

  const shown = (name) => !svg.querySelector(`[data-layer="${name}"]`)?.classList.contains("off");

  // `k`: drawing units in a pixel.
  return (view, k, postsShown) => {
    const taken = crowd();
    const [width, height] = [view.w / k, view.h / k];
    const inside = (box) => box[0] >= 2 && box[1] >= 2 && box[2] <= width - 2 && box[3] <= height - 2;
    const pixel = (p) => ({ x: (p.x - view.x) / k, y: (p.y - view.y) / k });
    const seen = (p) => p.x > 0 && p.y > 0 && p.x < width && p.y < height;
    const square = (p, half) => [p.x - half, p.y - half, p.x + half, p.y + half];

    const placesShown = beside.filter((feature) => shown(feature.layer));
    for (const feature of placesShown) {
      for (const p of feature.points) taken.add(square(pixel(p), 9), feature);
    }
    const wellsInView = shown("wells") ? posts.filter((post) => seen(pixel(post))) : [];
    for (const post of wellsInView) taken.add(square(pixel(post), 6), post);
    const crowded = wellsInView.length > CROWD;

    const labelLine = (line, most) => {
      const size = [line.level.length * 7 + 4, LINE];
      if (line.length / k < size[0] * 1.3) return;
      line.kept ??= [];
      for (const place of line.samples) {
        if (line.kept.length >= most) return;
        const p = pixel(place);
        const turn = (place.turn * Math.PI) / 180;
        const [across, down] = [Math.abs(Math.cos(turn)), Math.abs(Math.sin(turn))];
        const half = [(size[0] * across + size[1] * down) / 2, (size[0] * down + size[1] * across) / 2];
        const box = [p.x - half[0], p.y - half[1], p.x + half[0], p.y + half[1]];
        const near = line.kept.some((q) => Math.hypot(q.x - p.x, q.y - p.y) < BETWEEN);
        if (near || !inside(box) || !taken.free(box, place)) continue;
        taken.add(box, place);
        line.kept.push(p);
        const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
        text.textContent = line.level;
        text.setAttribute("dy", "4");
        text.setAttribute("transform", `translate(${place.x} ${place.y}) rotate(${place.turn}) scale(${k})`);
        layer.append(text);
      }
    };
    const labelLines = (most) => {
      if (shown("levels") && shown("contours")) lines.forEach((line) => labelLine(line, most));
    };

    const labelWell = (post) => {
      const p = pixel(post);
      const found = postsShown && SIDES.some(([dx, dy, anchor]) => {
        const x = p.x + dx - { start: 0, middle: post.width / 2, end: post.width }[anchor];
        const y = p.y + dy - LINE + 2;
        const box = [x - 2, y, x + post.width + 2, y + LINE * post.texts.length];
        if (!inside(box) || !taken.free(box, post)) return false;
        taken.add(box, post);
        post.texts.forEach((text, line) => {
          text.setAttribute("x", dx);
          text.setAttribute("y", dy + line * LINE);
          text.style.textAnchor = anchor;
        });
        return true;
      });
      post.post.classList.toggle("off", !found);
    };

    const labelPlaces = () => {
      for (const feature of beside) {
        const { text, width } = feature;
        const said = feature.wells.some((post) => !post.post.classList.contains("off"));
        const wanted = postsShown && !said && shown(feature.layer);
        const found = wanted && [...feature.points, ...feature.along].some((at) => {
          const p = pixel(at);
          return seen(p) && SIDES.some(([dx, dy, anchor]) => {
            const [x, y] = [p.x + 1.3 * dx - { start: 0, middle: width / 2, end: width }[anchor], p.y + dy - LINE + 2];
            const box = [x - 2, y, x + width + 2, y + LINE];
            if (!inside(box) || !taken.free(box, feature)) return false;
            taken.add(box, feature);
            text.setAttribute("transform", `translate(${at.x} ${at.y}) scale(${k}) translate(${1.3 * dx} ${dy})`);
            text.style.textAnchor = anchor;
            return true;
          });
        });
        text.classList.toggle("off", !found);
      }
    };

    // No arrow reaches across a barrier, the boundary or a stream. Where many crowd, they keep their
    // distance. Zooming in brings the others.
    const thinArrows = () => {
      if (!shown("arrows")) return;
      const many = arrows.filter((arrow) => seen(pixel(arrow))).length > CROWD;
      const others = crowd();
      for (const arrow of arrows) {
        const p = pixel(arrow);
        const crowds = many && !(others.free(square(p, 16), arrow) && taken.free(square(p, 8), arrow));
        const room = k <= arrow.widest && !crowds;
        if (room) others.add(square(p, 16), arrow);
        arrow.mark.classList.toggle("off", !room);
      }
    };
    const keepArrows = () => {
      for (const arrow of arrows.filter((a) => shown("arrows") && !a.mark.classList.contains("off"))) {
        taken.add(square(pixel(arrow), 7), arrow);
      }
    };

    layer.replaceChildren();
    for (const line of lines) line.kept = [];
    if (crowded) labelLines(1);
    posts.forEach(labelWell);
    labelPlaces();
    thinArrows();
    keepArrows();
    labelLines(Infinity);
  };
};
