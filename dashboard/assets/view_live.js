/* The page beside the machine: new points for a drawing that stays where it is. An answer that comes
   after the reader has left the page finds no drawing, and changes nothing. */
(function () {
  "use strict";

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.holewise = Object.assign({}, window.dash_clientside.holewise, {
    points: function (points, figure) {
      if (!points || !figure || !figure.data) return window.dash_clientside.no_update;
      var first = Object.assign({}, figure.data[0], { x: points.x, y: points.y });
      var axis = Object.assign({}, figure.layout.yaxis, { range: [0, points.top] });
      return Object.assign({}, figure, {
        data: [first].concat(figure.data.slice(1)),
        layout: Object.assign({}, figure.layout, { yaxis: axis }),
      });
    },
  });
})();
