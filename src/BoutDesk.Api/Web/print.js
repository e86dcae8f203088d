// @ts-check
// Shows the button that prints. Without it the browser's own command does the same.
const button = document.getElementById('print');
if (button) {
  button.hidden = false;
  button.addEventListener('click', () => print());
}
