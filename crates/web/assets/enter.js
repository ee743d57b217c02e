// @ts-check
/** Hands the token over that stands behind the # of the link, and takes it out of the address. */

const said = document.getElementById("said");
const form = /** @type {HTMLFormElement | null} */ (document.getElementById("door"));

/** @param {string} token */
async function enter(token) {
  history.replaceState(null, "", "/enter");
  const answer = await fetch("/enter", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ token }),
  });
  if (answer.ok) location.replace("/");
  else if (said) said.textContent = await answer.text();
}

form?.addEventListener("submit", (event) => {
  event.preventDefault();
  void enter(String(new FormData(form).get("token") ?? ""));
});
if (location.hash.length > 1) void enter(location.hash.slice(1));
