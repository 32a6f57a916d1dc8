// @ts-check
/** The brief and the printed sheets: a button for the browser's own print dialog; and for a judge the way back to the lane. */

const print = document.getElementById("print");
if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}

// A tablet that came here from its lane goes back there.
const back = document.getElementById("to-lane");
if (back) back.hidden = !document.referrer.startsWith(`${location.origin}/lane`);
