/* What the ready-made parts of the pages leave out for those who use a keyboard or hear the page.
   Radio buttons and ticks are one group with a name, and not a list of options with buttons inside;
   what cannot be heard cannot be reached; fields for files have a name; a table that is wider than
   the screen can be moved by keyboard. Looked at again whenever something on the page has changed. */
(function () {
  "use strict";

  function said(part) {
    return part ? part.textContent.trim() : "";
  }

  function nameOf(part) {
    var field = part.closest("fieldset");
    if (field && field.querySelector("legend")) return said(field.querySelector("legend"));
    var group = part.closest("[role=group]");
    if (!group) return "";
    var by = group.getAttribute("aria-labelledby");
    return by ? said(document.getElementById(by)) : group.getAttribute("aria-label") || "";
  }

  function choices(which, role) {
    document.querySelectorAll(which).forEach(function (list) {
      if (list.getAttribute("role") !== role) list.setAttribute("role", role);
      if (!list.hasAttribute("aria-label") && !list.hasAttribute("aria-labelledby")) {
        var name = nameOf(list);
        if (name) list.setAttribute("aria-label", name);
      }
      list.querySelectorAll("[role=option]").forEach(function (option) {
        option.removeAttribute("role");
        option.removeAttribute("aria-selected");
      });
      list.querySelectorAll("label[aria-selected]").forEach(function (option) {
        option.removeAttribute("aria-selected");
      });
    });
  }

  function menus() {
    document.querySelectorAll(".dash-dropdown-focus-target[tabindex='0']").forEach(function (part) {
      var button = part.parentElement.querySelector("button");
      if (!button) return;
      part.setAttribute("tabindex", "-1");
      button.setAttribute("tabindex", "0");
    });
  }

  function files() {
    document.querySelectorAll("input[type=file]:not([aria-label])").forEach(function (part) {
      var name = said(part.parentElement);
      if (name) part.setAttribute("aria-label", name);
    });
  }

  function tables() {
    document.querySelectorAll(".table").forEach(function (part) {
      var wide = part.scrollWidth > part.clientWidth + 1;
      if (wide === part.hasAttribute("tabindex")) return;
      if (wide) {
        part.setAttribute("tabindex", "0");
        part.setAttribute("role", "region");
        part.setAttribute("aria-label", said(part.querySelector("caption")));
      } else {
        ["tabindex", "role", "aria-label"].forEach(function (name) {
          part.removeAttribute(name);
        });
      }
    });
  }

  var waiting = false;

  function mend() {
    waiting = false;
    choices(".dash-radioitems", "radiogroup");
    choices(".dash-checklist", "group");
    menus();
    files();
    tables();
  }

  function soon() {
    if (waiting) return;
    waiting = true;
    window.setTimeout(mend, 100);
  }

  new MutationObserver(soon).observe(document, {
    childList: true,
    subtree: true,
    attributes: true,
    attributeFilter: ["role", "aria-selected", "tabindex"],
  });
  window.addEventListener("resize", soon);
})();
