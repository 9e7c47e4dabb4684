/* Keys of the page of holes: they press its buttons, and only while the focus is in the viewer. */
(function () {
  "use strict";

  var BUTTONS = {
    ArrowRight: "holes-next",
    ArrowLeft: "holes-previous",
    Home: "holes-first",
    End: "holes-last",
    "+": "holes-nearer",
    "=": "holes-nearer",
    "-": "holes-farther",
  };

  document.addEventListener("keydown", function (event) {
    var place = event.target instanceof Element ? event.target : null;
    if (!place || !place.closest(".holes-viewer") || place.closest("input")) return;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    var button = document.getElementById(BUTTONS[event.key] || "");
    if (!button) return;
    event.preventDefault();
    if (!button.disabled) button.click();
  });
})();
