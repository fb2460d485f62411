"""A plain SVG: one small plot for each curve, both axes logarithmic (the values along the bottom evenly spaced)."""
import math

WIDTH, HEIGHT, LEFT, TOP, BOTTOM = 250, 230, 45, 30, 40
STROKES = ('stroke="#1f5fa8"', 'stroke="#1f5fa8" stroke-dasharray="5 3"', 'stroke="#b5541c"', 'stroke="#b5541c" stroke-dasharray="5 3"')


def label(x, y, text, anchor="middle"):
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{text}</text>\n'


def plot(number, title, curves, kinds, named):
    left, right, top, bottom = number * WIDTH + LEFT, (number + 1) * WIDTH - 12, TOP, HEIGHT - BOTTOM
    values = list(curves[kinds[0]])
    all_ms = [1e3 * s for kind in kinds for s in curves[kind].values()]
    low, high = math.floor(math.log10(min(all_ms))), math.ceil(math.log10(max(all_ms)))
    high = max(high, low + 1)
    x = lambda i: left + 8 + (right - left - 16) * (i / (len(values) - 1) if len(values) > 1 else 0.5)
    y = lambda ms: bottom - (bottom - top) * (math.log10(ms) - low) / (high - low)
    out = f'<rect x="{left}" y="{top}" width="{right - left}" height="{bottom - top}" fill="none" stroke="#888"/>\n'
    for exponent in range(low, high + 1):
        at = y(10.0 ** exponent)
        out += f'<line x1="{left}" x2="{right}" y1="{at:.1f}" y2="{at:.1f}" stroke="#ddd"/>\n' + label(left - 4, at + 4, f"{10.0 ** exponent:g}", "end")
    for i, value in enumerate(values):
        out += label(x(i), bottom + 14, named(value))
    for kind, stroke in zip(kinds, STROKES):
        points = " ".join(f"{x(i):.1f},{y(1e3 * curves[kind][value]):.1f}" for i, value in enumerate(values))
        out += f'<polyline points="{points}" fill="none" stroke-width="1.6" {stroke}/>\n'
    return out + label((left + right) / 2, top - 8, f"ms against {title}")


def picture(plots, kinds):
    """[(title, {kind: {value: seconds}}, value -> text)]."""
    width = WIDTH * len(plots)
    out = (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {HEIGHT + 14}" width="{width}" height="{HEIGHT + 14}" '
           'font-family="sans-serif" font-size="11" fill="#222">\n'
           f'<rect width="{width}" height="{HEIGHT + 14}" fill="#fff"/>\n')
    for number, (title, curves, named) in enumerate(plots):
        out += plot(number, title, curves, kinds, named)
    for i, ((waves, source), stroke) in enumerate(zip(kinds, STROKES)):
        at = LEFT + i * 180
        out += f'<line x1="{at}" x2="{at + 26}" y1="{HEIGHT}" y2="{HEIGHT}" stroke-width="1.6" {stroke}/>\n'
        out += label(at + 32, HEIGHT + 4, f"{'full wave' if waves == 'full' else 'quasi-static'}, {source}", "start")
    return out + "</svg>\n"
