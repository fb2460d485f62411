// Candidate stands on a map.
function sitesOption(width, height) {
  const half = (data.grid_step_m || 0) / 2;
  const corners = data.candidates.flatMap((c) => [{x_m: c.x_m - half, y_m: c.y_m - half}, {x_m: c.x_m + half, y_m: c.y_m + half}]);
  const {metresPerPixel, option} = mapAxes([...corners, ...data.planned, ...data.stations], width, height);
  const best = data.candidates[0];
  const cell = data.grid_step_m ? data.grid_step_m / metresPerPixel : 0;
  const share = (c) => data.reading_count > 0 ? c.usable_count / data.reading_count : 0;
  const most = Math.max(1e-9, ...[...data.candidates, ...data.planned].map(share));
  const strength = (c) => c.usable_count ? .12 + .88 * share(c) / most : 0;
  const at = (p) => [p.y_m, p.x_m];
  const ring = (x, y) => ({type: "circle", shape: {cx: x, cy: y, r: data.keep_out_public_m / metresPerPixel},
    style: {fill: "none", stroke: "var(--danger)", lineWidth: 1.2}});
  const name = (text, x, y, fill, weight) => {
    const right = x > width - 130;
    return {type: "text", style: {text, x: right ? x - 11 : x + 11, y: y - 7, align: right ? "right" : "left", fill, fontWeight: weight, fontSize: 12,
      stroke: paper, lineWidth: 3}};
  };
  const candidateShape = (params, api) => {
    const c = data.candidates[params.dataIndex], [x, y] = api.coord(at(c));
    const size = cell ? Math.max(2, cell - 1) : 16, strong = strength(c);
    const look = {fill: "var(--usable)", opacity: Math.max(.02, strong)};
    return {type: "group", children: [
      cell ? {type: "rect", shape: {x: x - size / 2, y: y - size / 2, width: size, height: size}, style: look}
        : {type: "circle", shape: {cx: x, cy: y, r: size / 2}, style: {...look, stroke: "var(--usable)", lineWidth: 1}},
      ...(cell > 24 || !cell ? [{type: "text", style: {text: String(c.usable_count), x, y: cell ? y : y + 15, align: "center", verticalAlign: "middle",
        fontSize: 10, fill: cell && strong > .6 ? paper : ink}}] : [])]};
  };
  const bestShape = (params, api) => {
    const [x, y] = api.coord(at(best));
    return {type: "group", children: [ring(x, y), {type: "circle", shape: {cx: x, cy: y, r: Math.max(10, cell / 2 + 2)}, style: {fill: "none", stroke: ink, lineWidth: 2}},
      name(`best: ${best.name}`, x, y - 13, ink, "bold")]};
  };
  const plannedShape = (params, api) => {
    const p = data.planned[params.dataIndex], [x, y] = api.coord(at(p));
    return {type: "group", children: [ring(x, y), {type: "rect", shape: {x: x - 5, y: y - 5, width: 10, height: 10}, style: {fill: accent}},
      name(p.name, x, y, accent, "bold")]};
  };
  const stationShape = (params, api) => {
    const s = data.stations[params.dataIndex], [x, y] = api.coord(at(s));
    return {type: "group", children: [{type: "circle", shape: {cx: x, cy: y, r: 4}, style: {fill: ink, stroke: paper, lineWidth: 1}},
      {type: "text", style: {text: s.name, x, y: params.dataIndex % 2 ? y + 7 : y - 19, align: "center", fill: ink, fontSize: 12, stroke: paper, lineWidth: 3}}]};
  };
  // A round number of metres, some 120 pixels long.
  const wanted = 120 * metresPerPixel, decade = 10 ** Math.floor(Math.log10(wanted));
  const length = decade * [1, 2, 5, 10].filter((n) => n * decade <= wanted).pop(), pixels = length / metresPerPixel;
  const bar = {type: "group", left: 76, bottom: 58, silent: true, children: [
    {type: "rect", shape: {x: -6, y: -16, width: pixels + 12, height: 26}, style: {fill: paper, opacity: .8}},
    {type: "line", shape: {x1: 0, y1: 4, x2: pixels, y2: 4}, style: {stroke: ink, lineWidth: 2}},
    ...[0, pixels].map((x) => ({type: "line", shape: {x1: x, y1: -1, x2: x, y2: 5}, style: {stroke: ink, lineWidth: 2}})),
    {type: "text", style: {text: length >= 1000 ? `${length / 1000} km` : `${tidy(length)} m`, x: pixels / 2, y: -14, align: "center", fill: ink, fontSize: 12}}]};
  const score = (c) => `<br>${c.usable_count} of ${data.reading_count} readings usable (${c.far_field_count} far field, ${c.sufficient_snr_count} with enough signal)<br>nearest station ${tidy(c.nearest_station_m, 3)} m`;
  return {
    ...option, graphic: [bar],
    tooltip: {trigger: "item", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
      formatter: ({seriesName, dataIndex: i}) => seriesName === "stations" ? `<b>${escape(data.stations[i].name)}</b><br>north ${tidy(data.stations[i].x_m, 4)} m, east ${tidy(data.stations[i].y_m, 4)} m`
        : seriesName === "planned" ? `<b>${escape(data.planned[i].name)}</b>, planned${score(data.planned[i])}`
        : `<b>${escape(data.candidates[i].name)}</b>${score(data.candidates[i])}`},
    series: [
      {name: "candidates", type: "custom", clip: true, renderItem: candidateShape, data: data.candidates.map(at)},
      {name: "stations", type: "custom", z: 3, renderItem: stationShape, data: data.stations.map(at)},
      {name: "planned", type: "custom", z: 3, renderItem: plannedShape, data: data.planned.map(at)},
      ...(best ? [{name: "best", type: "custom", z: 4, silent: true, renderItem: bestShape, data: [at(best)]}] : [])]
  };
}
draw(document.getElementById("chart-sites"), sitesOption);
