"use strict";
document.querySelectorAll(".pair .frame").forEach(function (frame) {
  var range = document.createElement("input");
  range.type = "range";
  range.min = 0;
  range.max = 100;
  range.value = 50;
  range.setAttribute("aria-label", "How much of the first picture to show, percent");
  var show = function () { frame.style.setProperty("--x", range.value + "%"); };
  range.addEventListener("input", show);
  frame.appendChild(range);
  frame.classList.add("live");
  show();
});
