// Dwells before and after.
draw(document.getElementById("chart-dwell"), () => ({
  legend: {top: 0, textStyle: {color: ink}},
  grid: {left: 58, right: 20, top: 34, bottom: 52},
  xAxis: {type: "category", data: data.frequencies.map((f) => frequency(f.frequency_hz)), ...axisLook, splitLine: {show: false},
    axisLabel: {color: soft, rotate: 40, hideOverlap: true}},
  yAxis: valueAxis("dwell A + B, s", 40, {scale: false}),
  tooltip: {trigger: "axis", backgroundColor: paper, borderColor: soft, textStyle: {color: ink}, confine: true,
    formatter: (items) => `<b>${escape(items[0].name)}</b>` + items.map((i) => `<br>${escape(i.seriesName)}: ${tidy(i.value, 4)} s`).join("")},
  series: [
    {name: "before", type: "bar", itemStyle: {color: soft, opacity: .5}, data: data.frequencies.map((f) => f.dwell_a_before_s + f.dwell_b_before_s)},
    {name: "after", type: "bar", itemStyle: {color: accent}, data: data.frequencies.map((f) => f.dwell_a_s + f.dwell_b_s)}]
}));
