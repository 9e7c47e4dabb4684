/* What only the browser knows: the address, dark or light, the reader's units; and whether the
   dashboard still answers. Nothing here fetches or stores anything outside this browser. */
(function () {
  "use strict";

  var KEY = "holewise.view";
  var dark = window.matchMedia("(prefers-color-scheme: dark)");

  function kept() {
    try {
      return JSON.parse(window.localStorage.getItem(KEY)) || {};
    } catch (error) {
      return {};
    }
  }

  function keep(choice) {
    try {
      window.localStorage.setItem(KEY, JSON.stringify(choice));
    } catch (error) {
      /* A browser that keeps nothing still shows the page. */
    }
  }

  dark.addEventListener("change", function () {
    window.dash_clientside.set_props("view-scheme", { data: dark.matches });
  });

  var lastBeat = null;
  var lastBeatAt = 0;
  var asked = null;
  var askedAt = 0;

  window.dash_clientside = Object.assign({}, window.dash_clientside, {
    holewise: {
      view: function (path, metric, inch, point, comma, scheme, shop) {
        var choice = kept();
        var pressed = window.dash_clientside.callback_context.triggered.map(function (part) {
          return part.value ? part.prop_id : "";
        });
        if (pressed.indexOf("units-metric.n_clicks") >= 0) choice.system = "metric";
        if (pressed.indexOf("units-inch.n_clicks") >= 0) choice.system = "inch";
        if (pressed.indexOf("decimal-point.n_clicks") >= 0) choice.decimal = ".";
        if (pressed.indexOf("decimal-comma.n_clicks") >= 0) choice.decimal = ",";
        keep(choice);
        var isInch = (choice.system || shop.system) === "inch";
        var isComma = (choice.decimal || shop.decimal) === ",";
        return [
          {
            path: path || "/",
            system: isInch ? "inch" : "metric",
            decimal: isComma ? "," : ".",
            dark: dark.matches,
          },
          String(!isInch),
          String(isInch),
          String(!isComma),
          String(isComma),
        ];
      },

      title: function (shown) {
        if (!shown) return window.dash_clientside.no_update;
        document.title = shown.title;
        document.querySelectorAll(".ways .here").forEach(function (here) {
          var line = here.parentElement;
          line.scrollLeft = here.offsetLeft - (line.clientWidth - here.offsetWidth) / 2;
        });
        if (document.documentElement.dataset.path !== shown.path) {
          var first = document.documentElement.dataset.path === undefined;
          document.documentElement.dataset.path = shown.path;
          if (!first) {
            window.scrollTo(0, 0);
            document.getElementById("page").focus({ preventScroll: true });
          }
        }
        return shown.path;
      },

      /* Asks again only when the last answer has come, so that a slow server is never asked
         faster than it can answer; after the page's patience a lost answer is given up. */
      ask: function (tick, beat, say) {
        var now = Date.now();
        var late = now - askedAt > 1000 * say.patience_s;
        if (!tick || !(asked === null || tick <= asked || beat === asked || late)) {
          return window.dash_clientside.no_update;
        }
        asked = tick;
        askedAt = now;
        return tick;
      },

      /* Every answer of the server carries a new beat. When no new beat comes, what stands on
         the screen is old, and the screen has to say so by itself. */
      watch: function (tick, beat, say) {
        var now = Date.now();
        if (beat !== lastBeat || lastBeatAt === 0) {
          lastBeat = beat;
          lastBeatAt = now;
        }
        var silent_s = (now - lastBeatAt) / 1000;
        if (silent_s < say.patience_s) return ["", "live"];
        return ["? " + say.text + " (" + Math.round(silent_s) + " s)", "live no-answer"];
      },
    },
  });
})();
