// What to know on a first visit, until it is dismissed.

const SEEN = "stumpbook-introduced";
const box = document.getElementById("first-visit");

box.hidden = localStorage.getItem(SEEN) === "yes";
document.getElementById("first-visit-done").addEventListener("click", () => {
  localStorage.setItem(SEEN, "yes");
  box.hidden = true;
});
document.getElementById("first-visit-again").addEventListener("click", () => {
  box.hidden = false;
  document.getElementById("help").close();
  box.scrollIntoView({ block: "nearest" });
});
