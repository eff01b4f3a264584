// A kept page shows who was there before; the next person is to get a fresh one.
if ("caches" in window) caches.delete("fettle-pages");

// The pad under a PIN field: for gloves, where a phone's keyboard is small. The
// field itself takes typing and pasting as well.
for (const pad of document.querySelectorAll("[data-pad]")) {
  const field = document.getElementById(pad.dataset.pad);
  if (!field) continue;
  pad.hidden = false;
  pad.addEventListener("click", (e) => {
    const key = e.target.closest("button");
    if (!key) return;
    field.value = key.value === "back" ? field.value.slice(0, -1) : (field.value + key.value).slice(0, field.maxLength);
  });
}
