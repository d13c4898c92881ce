// What of a page moves after it was shown, where the desk answers late.

/// For `addInitScript`: every control that moves once it is drawn, as `globalThis.moved`. What keeps its
/// place in the document (it was scrolled) or in the window (a foot that sticks) has not moved.
export function watchControls() {
  globalThis.moved = [];
  const controls = "button, a[href], input, select, textarea, summary";
  const places = new Map();
  const called = (control) =>
    `${control.localName} ${(control.ariaLabel || control.textContent || control.name).trim().slice(0, 40)}`;
  const far = (one, other) => Math.abs(one - other) > 1;
  const look = () => {
    const now = new Map();
    for (const control of document.querySelectorAll(controls)) {
      if (!control.checkVisibility()) continue;
      const { left, top } = control.getBoundingClientRect();
      const place = { left, top, x: left + scrollX, y: top + scrollY };
      const before = places.get(control);
      now.set(control, place);
      if (!before) continue;
      const down = far(before.top, place.top) && far(before.y, place.y);
      const across = far(before.left, place.left) && far(before.x, place.x);
      if (!down && !across) continue;
      const by = `${Math.round(place.x - before.x)}, ${Math.round(place.y - before.y)}`;
      globalThis.moved.push(`${called(control)} by ${by} after ${Math.round(performance.now())} ms`);
    }
    places.clear();
    for (const [control, place] of now) places.set(control, place);
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
}

/// Has the desk answer late, one question later than another, so that no two answers come at once.
/// `settled` resolves when nothing has been asked or answered for a while.
export async function answerLate(page, { step = 130, most = 9, least = 600 } = {}) {
  let asked = 0;
  let open = 0;
  let last = Date.now();
  await page.route("**/api/**", async (route) => {
    if (route.request().url().endsWith("/api/events")) return route.continue();
    ++open;
    const late = least + step * ((asked++ * 4) % most);
    await new Promise((done) => setTimeout(done, late));
    await route.continue().catch(() => undefined);
    --open;
    last = Date.now();
  });
  return async function settled(quiet = 1500) {
    while (open > 0 || Date.now() - last < quiet) await new Promise((done) => setTimeout(done, 50));
  };
}
