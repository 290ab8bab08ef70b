// Tables that sort by any column: numbers by their value, text by its words and numbers, and
// rows without a value last.
(() => {
  const words = new Intl.Collator("en", { numeric: true });

  const value = (row, column) => {
    const cell = row.cells[column];
    if (cell.dataset.sort !== undefined) return Number(cell.dataset.sort);
    const text = cell.textContent.trim();
    return text === "–" || text === "" ? null : text;
  };

  const compare = (a, b) => {
    if (typeof a === "number" && typeof b === "number") return a - b;
    if (typeof a === "number") return -1;
    if (typeof b === "number") return 1;
    return words.compare(a, b);
  };

  // A cell of words in a column of numbers, such as "direction not resolved", is no value.
  const sorted = (rows, column, numbers, sign) => {
    const known = [];
    const unknown = [];
    for (const row of rows) {
      const v = value(row, column);
      const missing = v === null || (numbers && typeof v !== "number");
      (missing ? unknown : known).push([v, row]);
    }
    known.sort((a, b) => sign * compare(a[0], b[0]));
    return [...known, ...unknown].map((pair) => pair[1]);
  };

  for (const table of document.querySelectorAll("table.sortable")) {
    const headings = [...table.tHead.rows[0].cells];
    table.tHead.addEventListener("click", (event) => {
      const heading = event.target.closest("th");
      if (!heading || !event.target.closest(".sort")) return;
      const down = heading.getAttribute("aria-sort") === "ascending";
      for (const other of headings) other.removeAttribute("aria-sort");
      heading.setAttribute("aria-sort", down ? "descending" : "ascending");
      const numbers = heading.classList.contains("number");
      const body = table.tBodies[0];
      body.append(...sorted([...body.rows], headings.indexOf(heading), numbers, down ? -1 : 1));
    });
  }
})();
