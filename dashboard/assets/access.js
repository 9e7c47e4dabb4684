/* A session can end while a page stands open: then the way is to the page for signing in. */
(function () {
  "use strict";

  var ask = window.fetch;
  var leaving = false;

  window.fetch = function () {
    return ask.apply(window, arguments).then(function (answer) {
      if (answer.status === 401 && !leaving) {
        leaving = true;
        window.location.assign("/sign-in?to=" + encodeURIComponent(window.location.pathname));
      }
      return answer;
    });
  };
})();
