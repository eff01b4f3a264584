// Every move of a slider asks for what follows from it. One question is on its way
// at a time; what was moved meanwhile is asked as soon as it is answered.
const form = document.querySelector("[data-running]");
const part = document.querySelector("[data-part]");
const state = document.querySelector("[data-state]");
let busy = false;
let again = false;

const asked = () => new URLSearchParams(new FormData(form));

async function ask() {
  if (busy) {
    again = true;
    return;
  }
  busy = true;
  part.classList.add("stale");
  const q = asked();
  try {
    const r = await fetch(`?part=moved&${q}`);
    if (!r.ok) throw new Error(String(r.status));
    part.innerHTML = await r.text();
    state.textContent = "";
    history.replaceState(null, "", `?${q}`);
    document.getElementById("study")?.closest("section")?.remove(); // it was of another state
  } catch {
    state.textContent = state.dataset.failed;
  }
  part.classList.remove("stale");
  busy = false;
  if (again) {
    again = false;
    ask();
  }
}

form.addEventListener("input", (e) => {
  const f = e.target;
  if (f.dataset.unit !== undefined) {
    const out = form.querySelector(`output[for="${f.id}"]`);
    out.textContent = out.textContent.replace(/^[\d.,\u2212-]+/, f.value.replace(".", out.textContent.includes(",") ? "," : "."));
  }
  if (f.dataset.clear !== undefined) form.elements.clear.value = "try";
  ask();
});
form.querySelector("button").hidden = true;
