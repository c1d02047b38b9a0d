// The timeline that can be moved. Without this script the drawing in the page stays as it is.
(function () {
  "use strict";
  var place = document.getElementById("timeline");
  var source = document.getElementById("timeline-data");
  if (!place || !source) { return; }
  var data = JSON.parse(source.textContent);
  if (!data.pieces.length || !data.rows.length) { return; }
  var NS = "http://www.w3.org/2000/svg";
  var ROW = 46, TOP = 26, BAR = 24;
  var still = place.querySelector("figure");

  // Hours in which nothing is open are folded; `fold` gives open minutes before a moment.
  var before = [], length = 0;
  data.pieces.forEach(function (p) { before.push(length); length += p[1] - p[0]; });
  function fold(t) {
    var low = 0, high = data.pieces.length;
    while (low < high) { var mid = (low + high) >> 1; if (data.pieces[mid][0] <= t) { low = mid + 1; } else { high = mid; } }
    if (low === 0) { return 0; }
    var p = data.pieces[low - 1];
    return before[low - 1] + Math.min(t, p[1]) - p[0];
  }
  var rows = data.rows.map(function (r) {
    return { machine: r[0], state: r[1], from: r[2], to: r[3], order: r[4], a: fold(r[2]), b: fold(r[3]) };
  });
  var orders = {};
  data.orders.forEach(function (o) { orders[o[0]] = o; });
  var DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
  var MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
  function two(n) { return (n < 10 ? "0" : "") + n; }
  function day(t) {
    var d = new Date((data.startDay * 1440 + Math.floor(t / 1440) * 1440) * 60000);
    return DAYS[d.getUTCDay()] + " " + d.getUTCDate() + " " + MONTHS[d.getUTCMonth()];
  }
  function moment(t) {
    if (t === null) { return "not in this run"; }
    var m = Math.round(t) % 1440;
    return day(Math.round(t)) + " " + two(Math.floor(m / 60)) + ":" + two(m % 60);
  }
  function make(name, attributes, parent, text) {
    var e = document.createElementNS(NS, name);
    Object.keys(attributes).forEach(function (k) { e.setAttribute(k, attributes[k]); });
    if (text !== undefined) { e.textContent = text; }
    if (parent) { parent.appendChild(e); }
    return e;
  }
  function html(name, parent, text) {
    var e = document.createElement(name);
    if (text !== undefined) { e.textContent = text; }
    if (parent) { parent.appendChild(e); }
    return e;
  }

  var view = { a: fold(data.first[0]), b: Math.max(fold(data.first[1]), fold(data.first[0]) + 60) };
  var picked = -1;
  var tools = html("div", null);
  tools.className = "tools";
  function button(words, label, action) {
    var b = html("button", tools, words);
    b.type = "button";
    b.setAttribute("aria-label", label);
    b.addEventListener("click", action);
  }
  button("← earlier", "Earlier", function () { pan(-0.5); });
  button("later →", "Later", function () { pan(0.5); });
  button("zoom in", "Zoom in", function () { zoom(0.5, 0.5); });
  button("zoom out", "Zoom out", function () { zoom(2, 0.5); });
  var label = html("label", tools, "Order ");
  var field = html("input", label);
  field.type = "search";
  field.inputMode = "numeric";
  field.addEventListener("change", function () { find(field.value.trim()); });
  var frame = html("figure");
  frame.className = "chart";
  var svg = make("svg", { "class": "live", tabindex: "0", role: "img",
    "aria-label": "Timeline of one replication. Arrow keys move it, plus and minus zoom." }, frame);
  var told = html("p");
  told.className = "told";
  told.setAttribute("aria-live", "polite");
  var hint = "Move over a bar to see what it is. Drag or use the arrow keys to move, + and − to zoom; an order is found by its number.";
  told.textContent = hint;
  var keys = html("div");
  keys.className = "keys";

  function hatch(x, y, width, height, kind, parent) {
    if (kind && width > 6) {
      make("rect", { x: x, y: y, width: width, height: height, fill: "url(#tl-" + kind + ")", "pointer-events": "none" }, parent);
    }
  }
  function patterns(parent) {
    var defs = make("defs", {}, parent);
    var lines = { rising: "M0 8L8 0", falling: "M0 0L8 8", crossed: "M0 8L8 0M0 0L8 8", upright: "M4 0V8" };
    Object.keys(lines).forEach(function (k) {
      var p = make("pattern", { id: "tl-" + k, width: 8, height: 8, patternUnits: "userSpaceOnUse" }, defs);
      make("path", { d: lines[k], stroke: "#fff", "stroke-width": 1 }, p);
    });
  }
  function describe(r) {
    var words = data.machines[r.machine] + ": " + data.states[r.state][0] + ", " + moment(r.from) + " to " + moment(r.to);
    return r.order < 0 ? words + "." : words + ". " + story(r.order);
  }
  function story(id) {
    var o = orders[id];
    if (!o) { return "Order " + id + "."; }
    return "Order " + id + ", " + data.classes[o[1]] + ", " + data.products[o[2]] + ": released " + moment(o[3]) +
      (o[4] === null ? "" : ", due " + moment(o[4])) + ", packed " + moment(o[5]) + ", shippable " + moment(o[6]) + ".";
  }

  function draw() {
    var width = Math.max(320, frame.clientWidth || 960);
    var left = width < 600 ? 84 : 150;
    var height = TOP + data.machines.length * ROW + 8;
    svg.setAttribute("viewBox", "0 0 " + width + " " + height);
    svg.setAttribute("height", height);
    while (svg.firstChild) { svg.removeChild(svg.firstChild); }
    patterns(svg);
    var scale = (width - left - 4) / (view.b - view.a);
    function px(a) { return left + (a - view.a) * scale; }
    var clip = make("clipPath", { id: "tl-clip" }, make("defs", {}, svg));
    make("rect", { x: left, y: 0, width: width - left, height: height }, clip);
    var plot = make("g", { "clip-path": "url(#tl-clip)" }, svg);
    var named = -1e9, lastDay = null;
    data.pieces.forEach(function (p, i) {
      for (var t = p[0]; t < p[1]; t = (Math.floor(t / 1440) + 1) * 1440) {
        var d = Math.floor(t / 1440), a = before[i] + t - p[0];
        if (d === lastDay) { continue; }
        lastDay = d;
        if (a < view.a - 1440 || a > view.b) { continue; }
        var x = px(a);
        make("path", { d: "M" + x + " 4V" + height, stroke: "#d9dee4", "stroke-width": 2 }, plot);
        if (x - named > 76) { make("text", { x: x + 4, y: 14, "class": "quiet" }, plot, day(t)); named = x; }
      }
    });
    var lastOrder = {}, lastEnd = {};
    rows.forEach(function (r) {
      if (r.b <= view.a || r.a >= view.b || r.b <= r.a) { return; }
      var x = Math.max(px(r.a), left), end = Math.min(px(r.b), width), y = TOP + r.machine * ROW + 14;
      var dim = picked >= 0 && r.order !== picked;
      var g = make("g", dim ? { opacity: 0.25 } : {}, plot);
      var bar = make("rect", { x: x, y: y, width: Math.max(end - x, 0.4), height: BAR, fill: data.states[r.state][1] }, g);
      hatch(x, y, end - x, BAR, data.states[r.state][2], g);
      bar.addEventListener("pointerenter", function () { told.textContent = describe(r); });
      if (r.order >= 0 && lastOrder[r.machine] !== r.order) {
        lastOrder[r.machine] = r.order;
        make("path", { d: "M" + x + " " + (y - 6) + "V" + y, stroke: "#1f2933" }, g);
        if (x > (lastEnd[r.machine] || 0)) {
          make("text", { x: x + 2, y: y - 3 }, g, String(r.order));
          lastEnd[r.machine] = x + 8 + 7 * String(r.order).length;
        }
      }
    });
    data.machines.forEach(function (name, m) {
      var most = Math.floor((left - 10) / 7.2), shown = name.length > most ? name.slice(0, most - 1) + "…" : name;
      var t = make("text", { x: left - 8, y: TOP + m * ROW + 30, "text-anchor": "end" }, svg, shown);
      make("title", {}, t, name);
    });
  }
  function clamp() {
    var wide = Math.min(Math.max(view.b - view.a, 30), length);
    view.a = Math.min(Math.max(view.a, 0), length - wide);
    view.b = view.a + wide;
    draw();
  }
  function pan(share) { var d = (view.b - view.a) * share; view.a += d; view.b += d; clamp(); }
  function zoom(factor, at) {
    var middle = view.a + (view.b - view.a) * at, wide = Math.min((view.b - view.a) * factor, length);
    view.a = middle - wide * at;
    view.b = view.a + wide;
    clamp();
  }
  function find(text) {
    picked = -1;
    if (text === "") { told.textContent = hint; draw(); return; }
    var id = /^#?\d+$/.test(text) ? Number(text.replace("#", "")) : -1;
    var mine = rows.filter(function (r) { return r.order === id; });
    if (!mine.length) { told.textContent = "No order " + text + " on a machine in this timeline."; draw(); return; }
    var a = Infinity, b = 0;
    mine.forEach(function (r) { a = Math.min(a, r.a); b = Math.max(b, r.b); });
    var margin = Math.max((b - a) * 0.1, 60);
    picked = id;
    view.a = a - margin;
    view.b = b + margin;
    told.textContent = story(id);
    clamp();
  }
  svg.addEventListener("keydown", function (e) {
    if (e.key === "ArrowLeft") { pan(-0.2); } else if (e.key === "ArrowRight") { pan(0.2); }
    else if (e.key === "+" || e.key === "=") { zoom(0.7, 0.5); } else if (e.key === "-") { zoom(1.4, 0.5); }
    else { return; }
    e.preventDefault();
  });
  svg.addEventListener("wheel", function (e) {
    if (!e.ctrlKey && !e.metaKey) { return; }
    e.preventDefault();
    var box = svg.getBoundingClientRect();
    zoom(e.deltaY > 0 ? 1.25 : 0.8, Math.min(Math.max((e.clientX - box.left) / box.width, 0), 1));
  }, { passive: false });
  var grip = null;
  svg.addEventListener("pointerdown", function (e) { grip = { x: e.clientX, a: view.a }; });
  window.addEventListener("pointerup", function () { grip = null; });
  window.addEventListener("pointermove", function (e) {
    if (!grip) { return; }
    var wide = view.b - view.a;
    view.a = grip.a - (e.clientX - grip.x) * wide / svg.getBoundingClientRect().width;
    view.b = view.a + wide;
    clamp();
  });
  data.states.forEach(function (s, i) {
    if (!rows.some(function (r) { return r.state === i; })) { return; }
    var item = html("span", keys);
    var mark = make("svg", { viewBox: "0 0 14 14", "aria-hidden": "true" }, item);
    make("rect", { width: 14, height: 14, fill: s[1] }, mark);
    hatch(0, 0, 14, 14, s[2], mark);
    item.appendChild(document.createTextNode(s[0]));
  });
  still.replaceWith(frame);
  place.insertBefore(tools, frame);
  place.appendChild(told);
  place.appendChild(keys);
  window.addEventListener("resize", draw);
  window.addEventListener("beforeprint", draw);
  clamp();
})();
