// Puts the parts of the page that the server has rendered anew in place of the old
// ones, and hides them all when nothing has come for a while: an old value must not
// be taken for a current one.
"use strict";

const lostAfter = 5; // seconds; the server sends once a second
const lost = document.getElementById("lost");
const live = document.getElementById("live");
let heard = performance.now();
let source = null;

function put(event) {
  heard = performance.now();
  const parts = JSON.parse(event.data);
  for (const name of Object.keys(parts)) {
    const place = document.getElementById(name);
    if (place) place.innerHTML = parts[name];
  }
  const title = document.querySelector("[data-title]");
  if (title) document.title = title.dataset.title;
  look();
}

function open() {
  if (source) source.close();
  source = new EventSource("/stream");
  source.addEventListener("parts", put);
}

// look says how long there has been no word, and calls again where the browser has
// given up.
function look() {
  const silent = Math.floor((performance.now() - heard) / 1000);
  const gone = silent >= lostAfter;
  if (live.hidden !== gone) {
    live.hidden = gone;
    lost.hidden = !gone;
  }
  if (!gone) return;
  lost.textContent = "No word from the page's server for " + silent +
    " s. Nothing is known of the tank: keep your hands out of the bath.";
  document.title = "no word from the tank";
  if (source.readyState === EventSource.CLOSED) open();
}

open();
setInterval(look, 1000);
