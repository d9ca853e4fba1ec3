// Short messages, and the notice bar at the top of the page.

const box = document.getElementById("message");
const notice = document.getElementById("notice");
let timer = 0;

/** Shows a message for a while; an error stays longer. */
export function say(text, error = false) {
  box.textContent = text;
  box.classList.toggle("error", error);
  box.classList.add("shown");
  clearTimeout(timer);
  timer = setTimeout(() => box.classList.remove("shown"), error ? 9000 : 3200);
}
box.addEventListener("click", () => box.classList.remove("shown"));

/** Shows a notice until the next one; an empty one hides the bar. `buttons`: pairs of label and action. */
export function setNotice(text, buttons = []) {
  notice.replaceChildren(text);
  for (const [label, action] of buttons) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.addEventListener("click", action);
    notice.append(button);
  }
  notice.hidden = !text;
}
