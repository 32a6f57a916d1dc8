/*
 * Says in one sentence why a screen does not open: the browser is too old, a part did not come, or the laptop is slow. A plain old
 * script, because what it speaks of are browsers that would not read a newer one.
 */
(function () {
  "use strict";
  var SLOW_MS = 3000;
  var place = document.querySelector("[data-role=needs]");
  var failed = false;

  function opening() {
    return document.querySelector(place.getAttribute("data-opening")) !== null;
  }

  /* What came last of all that the screens use; tests/web/newer.py knows the rest. */
  function isOld() {
    return !("noModule" in document.createElement("script") && Array.prototype.at && Object.hasOwn && window.structuredClone
      && document.createElement("dialog").showModal);
  }

  /* The browser by the name and number it goes by itself. On an iPad or iPhone all are the system's own. */
  function browser() {
    var told = navigator.userAgent;
    var found = /(?:Firefox|FxiOS)\/(\d+)/.exec(told);
    if (found && !/FxiOS/.test(told)) return "Firefox " + found[1];
    found = /(?:iPhone|CPU) OS (\d+)[_.](\d+)/.exec(told);
    if (found) return "iOS " + found[1] + "." + found[2];
    found = /Chrom(?:e|ium)\/(\d+)/.exec(told);
    if (found) return "Chrome " + found[1];
    found = /Version\/(\d+(?:\.\d+)?).*Safari/.exec(told);
    return found ? "Safari " + found[1] : "";
  }

  function say(why) {
    var lines = place.querySelectorAll("[data-why]");
    var name = browser();
    var i;
    for (i = 0; i < lines.length; i += 1) lines[i].hidden = lines[i].getAttribute("data-why") !== why;
    if (name) place.querySelector("[data-role=browser]").textContent = name;
    place.hidden = false;
  }

  function broken() {
    if (!opening()) return;
    failed = true;
    say(isOld() ? "old" : "part");
  }

  function settle() {
    if (!opening()) place.hidden = true;
    else if (!failed) say("slow");
    if (opening()) setTimeout(settle, 1000);
  }

  window.addEventListener("error", broken, true);
  window.addEventListener("unhandledrejection", broken);
  if (isOld()) say("old");
  else setTimeout(settle, SLOW_MS);
})();
