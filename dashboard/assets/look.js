/* The page at the drill: large keys that type into the field last used, and two lines that are
   drawn on a photo by touch, mouse or keyboard. Lengths are worked out by the program. */
(function () {
  "use strict";

  function within(event, what) {
    return event.target instanceof Element ? event.target.closest(what) : null;
  }

  /* Keys */

  var field = null;

  function fields() {
    return Array.prototype.slice.call(document.querySelectorAll(".look-fields input"));
  }

  function type(input, value) {
    Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, "value").set.call(input, value);
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function mark() {
    fields().forEach(function (input) {
      input.closest(".field").classList.toggle("typing", input === field);
    });
  }

  function choose(input) {
    field = input;
    mark();
  }

  document.addEventListener("focusin", function (event) {
    var input = within(event, ".look-fields input");
    if (input) choose(input);
  });

  function press(key) {
    var all = fields();
    if (!all.length) return;
    if (all.indexOf(field) < 0) field = all[1] || all[0];
    if (key === "next") choose(all[(all.indexOf(field) + 1) % all.length]);
    else if (key === "back") type(field, field.value.slice(0, -1));
    else type(field, field.value + key);
    mark();
  }

  /* Lines: points are kept in pixels of the photo, [x, y]. */

  var drawn = { photo: null, mode: null, zoom: 1, points: { scale: [], measure: [] } };
  var waiting = null;

  function stage() {
    var found = document.getElementById("look-stage");
    if (found && drawn.photo !== found.dataset.photo) {
      drawn = { photo: found.dataset.photo, mode: null, zoom: 1, points: { scale: [], measure: [] } };
    }
    return found;
  }

  function size(place) {
    return [Number(place.dataset.width), Number(place.dataset.height)];
  }

  function tell() {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(function () {
      var line = function (kind) {
        var points = drawn.points[kind];
        return points.length === 2 ? points : null;
      };
      window.dash_clientside.set_props("look-lines", {
        data: { photo: drawn.photo, scale: line("scale"), measure: line("measure") },
      });
    }, 200);
  }

  function draw() {
    var place = stage();
    if (!place) return;
    var picture = place.querySelector(".stage-picture");
    var full = size(place);
    picture.style.width =
      "calc(" + drawn.zoom + " * min(100%, " + (70 * full[0]) / full[1] + "vh))";
    var k = picture.clientWidth / full[0];
    ["scale", "measure"].forEach(function (kind) {
      var points = drawn.points[kind];
      points.forEach(function (point, end) {
        var handle = place.querySelector('[data-handle="' + kind + "-" + end + '"]');
        handle.style.display = "block";
        handle.style.left = (100 * point[0]) / full[0] + "%";
        handle.style.top = (100 * point[1]) / full[1] + "%";
      });
      var line = place.querySelector('[data-of="' + kind + '"]');
      if (points.length < 2) return;
      var dx = (points[1][0] - points[0][0]) * k;
      var dy = (points[1][1] - points[0][1]) * k;
      line.style.display = "block";
      line.style.left = (100 * points[0][0]) / full[0] + "%";
      line.style.top = (100 * points[0][1]) / full[1] + "%";
      line.style.width = Math.hypot(dx, dy) + "px";
      line.style.transform = "rotate(" + Math.atan2(dy, dx) + "rad)";
    });
    /* Only the ends of the line in hand can be taken hold of; others would swallow a tap nearby. */
    place.dataset.hold = drawn.mode && drawn.points[drawn.mode].length === 2 ? drawn.mode : "";
    place.querySelectorAll("[data-line]").forEach(function (button) {
      button.setAttribute("aria-pressed", String(button.dataset.line === drawn.mode));
    });
  }

  function at(event, place) {
    var box = place.querySelector(".stage-picture").getBoundingClientRect();
    var full = size(place);
    return keep([((event.clientX - box.left) * full[0]) / box.width,
      ((event.clientY - box.top) * full[1]) / box.height], full);
  }

  function keep(point, full) {
    return [Math.min(Math.max(point[0], 0), full[0]), Math.min(Math.max(point[1], 0), full[1])];
  }

  function near(points, point) {
    var far = points.map(function (one) {
      return Math.hypot(one[0] - point[0], one[1] - point[1]);
    });
    return far[0] <= far[1] ? 0 : 1;
  }

  function begin(kind, byKeyboard) {
    var place = stage();
    drawn.mode = kind;
    place.querySelector(".line-help").textContent =
      kind === "scale" ? place.dataset.helpScale : place.dataset.helpMeasure;
    if (byKeyboard && drawn.points[kind].length < 2) {
      var full = size(place);
      var y = full[1] * (kind === "scale" ? 0.6 : 0.4);
      drawn.points[kind] = [[full[0] * 0.3, y], [full[0] * 0.7, y]];
      tell();
    }
    draw();
    if (byKeyboard) place.querySelector('[data-handle="' + kind + '-0"]').focus();
  }

  document.addEventListener("click", function (event) {
    var key = within(event, ".key-button");
    if (key) {
      press(key.dataset.key);
      return;
    }
    var mode = within(event, "[data-line]");
    if (mode && stage()) {
      begin(mode.dataset.line, event.detail === 0);
      return;
    }
    var zoom = within(event, "[data-zoom]");
    if (zoom && stage()) {
      drawn.zoom = Math.min(8, Math.max(1, drawn.zoom * (zoom.dataset.zoom === "in" ? 1.5 : 1 / 1.5)));
      draw();
      return;
    }
    var place = within(event, ".stage-picture") && stage();
    if (!place || !drawn.mode || within(event, ".handle")) return;
    var points = drawn.points[drawn.mode];
    var point = at(event, place);
    if (points.length < 2) points.push(point);
    else points[near(points, point)] = point;
    if (points.length === 2) tell();
    draw();
  });

  var dragged = null;

  document.addEventListener("pointerdown", function (event) {
    var handle = within(event, ".handle");
    if (!handle) return;
    dragged = handle;
    handle.setPointerCapture(event.pointerId);
  });

  document.addEventListener("pointermove", function (event) {
    if (!dragged) return;
    var place = stage();
    var key = dragged.dataset.handle.split("-");
    drawn.mode = key[0];
    drawn.points[key[0]][Number(key[1])] = at(event, place);
    draw();
  });

  ["pointerup", "pointercancel"].forEach(function (name) {
    document.addEventListener(name, function () {
      if (dragged) tell();
      dragged = null;
    });
  });

  var STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  document.addEventListener("keydown", function (event) {
    var handle = within(event, ".handle");
    var step = STEPS[event.key];
    if (!handle || !step || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    var place = stage();
    var key = handle.dataset.handle.split("-");
    var by = event.shiftKey ? 20 : 1;
    var point = drawn.points[key[0]][Number(key[1])];
    drawn.mode = key[0];
    drawn.points[key[0]][Number(key[1])] = keep([point[0] + by * step[0], point[1] + by * step[1]],
      size(place));
    draw();
    tell();
  });

  window.addEventListener("resize", draw);

  /* A button of its own for the camera: on a tablet it opens the camera at once. The keys beside
     the fields are for gloves: the device's own keyboard stays away from these fields. */
  new MutationObserver(function () {
    fields().forEach(function (input) {
      if (input.inputMode !== "none") input.inputMode = "none";
    });
    document.querySelectorAll(".upload.camera input[type=file]").forEach(function (input) {
      if (!input.hasAttribute("capture")) input.setAttribute("capture", "environment");
    });
  }).observe(document.documentElement, { childList: true, subtree: true });
})();
