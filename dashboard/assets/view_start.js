/* The guided page: after a step the focus goes where the reader goes on, or to the first mistake. */
(function () {
  "use strict";

  function element(place) {
    if (typeof place === "string") return document.getElementById(place);
    return document.getElementById(JSON.stringify(place, Object.keys(place).sort()));
  }

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.holewise = Object.assign({}, window.dash_clientside.holewise, {
    startFocus: function (asked) {
      if (!asked) return window.dash_clientside.no_update;
      window.requestAnimationFrame(function () {
        var found = element(asked.place);
        if (found) found.focus();
      });
      return asked;
    },
  });
})();
