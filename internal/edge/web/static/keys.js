// Arrow keys go from place to place in a drawing; Enter follows the link as it
// always does. Without this script every place is still reached by Tab.
const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const middle = (el) => {
  const b = el.getBoundingClientRect();
  return [b.left + b.width / 2, b.top + b.height / 2];
};

// next finds the nearest place that lies in the wanted direction: distance
// along it counts once, distance across it thrice.
export const next = (from, places, [dx, dy]) => {
  const [x, y] = middle(from);
  let best = null;
  let least = Infinity;
  for (const p of places) {
    if (p === from) continue;
    const [px, py] = middle(p);
    const along = (px - x) * dx + (py - y) * dy;
    const across = Math.abs((px - x) * dy) + Math.abs((py - y) * dx);
    if (along < 1 || across > 4 * along) continue;
    const far = along + 3 * across;
    if (far < least) [best, least] = [p, far];
  }
  return best;
};

for (const drawing of document.querySelectorAll("[data-keys]")) {
  const places = [...drawing.querySelectorAll("svg a")];
  drawing.addEventListener("keydown", (e) => {
    const at = e.target.closest("a");
    if (!step[e.key] || !at || e.altKey || e.ctrlKey || e.metaKey) return;
    const to = next(at, places, step[e.key]);
    if (!to) return;
    e.preventDefault();
    to.focus();
  });
}
