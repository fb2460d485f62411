#include "model/bridge/dead_time.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <vector>

#include "model/base/constants.hpp"
#include "model/bridge/bridge_modes.hpp"

namespace ampturn::model::bridge {

namespace {

using State = BridgeState;
// What a change of the first state becomes in a later one.
struct Sensitivity {
    double ii = 1, iu = 0, ui = 0, uu = 1;
};

constexpr double never = std::numeric_limits<double>::infinity();

// The load between two events: current and capacitor voltage under a constant voltage.
class Ringing {
  public:
    explicit Ringing(const BridgeLoad& load)
        : inductance_h_(load.inductance_h),
          capacitance_f_(load.capacitance_f),
          alpha_(load.resistance_ohm / (2 * load.inductance_h)) {
        const double omega0_squared = 1 / (load.inductance_h * load.capacitance_f);
        const double beta_squared = omega0_squared - alpha_ * alpha_;
        rings_ = beta_squared >= 0;
        beta_ = std::sqrt(std::abs(beta_squared));
        slow_ = omega0_squared / (alpha_ + beta_);
    }
    double faster_rad_per_s() const { return rings_ ? std::hypot(alpha_, beta_) : alpha_ + beta_; }

    Sensitivity over(double t) const {
        double even = 0, odd = 0;  // e^{-alpha t} times cos(beta t), sin(beta t)/beta; or cosh, sinh
        if (rings_) {
            const double fallen = std::exp(-alpha_ * t);
            even = fallen * std::cos(beta_ * t);
            odd = beta_ > 0 ? fallen * std::sin(beta_ * t) / beta_ : fallen * t;
        } else {
            const double fallen = std::exp(-slow_ * t);
            const double faster = std::expm1(-2 * beta_ * t);
            even = fallen * (1 + faster / 2);
            odd = -fallen * faster / (2 * beta_);
        }
        return {even - alpha_ * odd, -odd / inductance_h_, odd / capacitance_f_, even + alpha_ * odd};
    }
    static State later(const Sensitivity& e, const State& x, double volts) {
        const double above = x.capacitor_v - volts;
        return {e.ii * x.current_a + e.iu * above, e.ui * x.current_a + e.uu * above + volts};
    }
    State later(const State& x, double volts, double t) const { return later(over(t), x, volts); }
    double slope(const State& x, double volts) const {
        return -2 * alpha_ * x.current_a - (x.capacitor_v - volts) / inductance_h_;
    }
    bool at_most_one_zero(double span_s) const { return !rings_ || beta_ * span_s < pi; }
    /// Time until the current is zero, not now.
    double zero_of_current(const State& x, double volts) const {
        return first_zero(x.current_a, slope(x, volts));
    }
    double turn_of_current(const State& x, double volts) const {
        const double now = slope(x, volts);
        return first_zero(now, -2 * alpha_ * now - x.current_a / (inductance_h_ * capacitance_f_));
    }

  private:
    // Of a quantity that moves with the load's modes, by its value and slope now.
    double first_zero(double value, double slope) const {
        const double turning = -(slope + alpha_ * value);  // value cos = turning sin/beta
        if (rings_ && beta_ > 0) {
            if (value == 0) return pi / beta_;
            const double angle = std::atan2(value * beta_, turning);
            return (angle <= 0 ? angle + pi : angle) / beta_;
        }
        if (value == 0) return never;
        const double rest = (turning - beta_ * value) / value;
        if (!(rest > 0)) return never;
        return beta_ > 0 ? std::log1p(2 * beta_ / rest) / (2 * beta_) : 1 / rest;
    }

    double inductance_h_, capacitance_f_, alpha_;
    bool rings_ = true;
    double beta_ = 0;  // of the ringing, or half the distance of the two rates
    double slow_ = 0;  // the slower of two rates
};

// Part of a half period with one setting of the switches: the bridge gives low_v to a current above zero,
// high_v to one below. `edge`: whose edge or end of dead time its beginning is.
enum class Edge { rising, falling };
struct Section {
    double from_s = 0, to_s = 0, low_v = 0, high_v = 0;
    Edge edge = Edge::rising;
    Sensitivity whole;  // of its whole length
};
class Sections {
  public:
    explicit Sections(const Ringing& load) : load_(load) {}
    void add(double to_s, double low_v, double high_v, Edge edge) {
        const double from_s = count_ > 0 ? part_[count_ - 1].to_s : 0.0;
        if (to_s > from_s) part_[count_++] = {from_s, to_s, low_v, high_v, edge, load_.over(to_s - from_s)};
    }
    const Ringing& load() const { return load_; }
    const Section* begin() const { return part_.data(); }
    const Section* end() const { return part_.data() + count_; }

  private:
    const Ringing& load_;
    std::array<Section, 5> part_;
    std::size_t count_ = 0;
};

Sections with_dead_time(const Ringing& load, const BridgeVoltage& v) {
    const double half = 0.5 / v.frequency_hz, on = v.duty * half, dead = v.dead_time_s;
    Sections out(load);
    // Leg B may still be in the dead time of its edge before this half period.
    const double both = dead - (half - on);
    out.add(both, -v.bus_v, v.bus_v, Edge::rising);
    out.add(dead, 0, v.bus_v, both > 0 ? Edge::falling : Edge::rising);
    out.add(on, v.bus_v, v.bus_v, Edge::rising);
    out.add(std::min(on + dead, half), 0, v.bus_v, Edge::falling);
    out.add(half, 0, 0, Edge::falling);
    return out;
}

// Between two events of a half period.
struct Piece {
    double from_s, span_s, volts;
    State start;
    bool resting;
    bool begins_section;
    Edge edge;
};

struct HalfPeriod {
    State end;
    Sensitivity sensitivity;
};

class Walk {
  public:
    Walk(const Sections& sections, const State& start, std::vector<Piece>* pieces)
        : sections_(sections), load_(sections.load()), x_(start), pieces_(pieces) {}
    HalfPeriod through() {
        for (const Section& s : sections_) through(s);
        return {x_, s_};
    }

  private:
    void through(const Section& s) {
        double t = s.from_s;
        while (t < s.to_s) {
            const bool rests = rests_in(s);
            const double volts = rests ? x_.capacitor_v : volts_in(s);
            double span = s.to_s - t;
            if (!rests) {
                Sensitivity e = t == s.from_s ? s.whole : load_.over(span);
                State next = Ringing::later(e, x_, volts);
                const bool to_zero = s.low_v < s.high_v && passes_zero(next, volts, span);
                if (to_zero) {
                    e = load_.over(span);
                    next = Ringing::later(e, x_, volts);
                    next.current_a = 0;
                }
                note(t, span, volts, false, s);
                x_ = next;
                s_ = {e.ii * s_.ii + e.iu * s_.ui, e.ii * s_.iu + e.iu * s_.uu, e.ui * s_.ii + e.uu * s_.ui,
                      e.ui * s_.iu + e.uu * s_.uu};
                if (to_zero) pass_zero(s, volts);
                t = to_zero ? t + span : s.to_s;
            } else {
                note(t, span, volts, true, s);
                s_.ii = s_.iu = 0;
                t = s.to_s;
            }
        }
    }
    // Shortens span to the zero. One that changes no sign has none or, where it rings fast, two.
    bool passes_zero(const State& next, double volts, double& span) const {
        if ((x_.current_a < 0) == (next.current_a < 0) && x_.current_a != 0 && load_.at_most_one_zero(span))
            return false;
        const double zero = load_.zero_of_current(x_, volts);
        if (!(zero < span)) return false;
        span = zero;
        return true;
    }
    // An earlier arrival at zero goes on with the slope of the other side.
    void pass_zero(const Section& s, double volts) {
        const double turned = rests_in(s) ? 0.0 : (volts_in(s) - x_.capacitor_v) / (volts - x_.capacitor_v);
        s_.ii *= turned;
        s_.iu *= turned;
    }
    void note(double from_s, double span_s, double volts, bool rests, const Section& s) {
        if (pieces_) pieces_->push_back({from_s, span_s, volts, x_, rests, from_s == s.from_s, s.edge});
    }
    bool rests_in(const Section& s) const {
        return s.low_v < s.high_v && x_.current_a == 0 && x_.capacitor_v >= s.low_v &&
               x_.capacitor_v <= s.high_v;
    }
    double volts_in(const Section& s) const {
        const double sign = x_.current_a != 0 ? x_.current_a : s.low_v - x_.capacitor_v;
        return sign > 0 ? s.low_v : s.high_v;
    }

    const Sections& sections_;
    const Ringing& load_;
    State x_;
    Sensitivity s_;
    std::vector<Piece>* pieces_;
};

// The state that half a period makes its negative.
class Periodic {
  public:
    Periodic(const BridgeLoad& load, double bus_v, const Sections& sections)
        : load_(load), bus_v_(bus_v), sections_(sections) {}

    State from(State x) const {
        HalfPeriod h = after(x);
        double miss = size(sum(x, h.end));
        for (int step = 0; step < 100000; ++step) {
            const State change = newton(x, h);
            State next = sum(x, change);
            // The error left is of the order of the square of the last change.
            if (size(change) <= 1e-7 * size(x) || miss <= 1e-13 * size({0, bus_v_})) return next;
            h = after(next);
            double miss_next = size(sum(next, h.end));
            for (double share = 0.5; !(miss_next < miss) && share > 0.02; share /= 2) {
                next = {x.current_a + share * change.current_a, x.capacitor_v + share * change.capacitor_v};
                h = after(next);
                miss_next = size(sum(next, h.end));
            }
            if (!(miss_next < miss)) {
                // Half a period of waiting always leads nearer.
                h = after(x);
                next = {-h.end.current_a, -h.end.capacitor_v};
                h = after(next);
                miss_next = size(sum(next, h.end));
            }
            x = next, miss = miss_next;
        }
        throw std::runtime_error("no periodic state of the bridge within its dead time");
    }

  private:
    HalfPeriod after(const State& x) const { return Walk(sections_, x, nullptr).through(); }
    double size(const State& x) const {
        return std::sqrt(load_.inductance_h * x.current_a * x.current_a +
                         load_.capacitance_f * x.capacitor_v * x.capacitor_v);
    }
    static State sum(const State& a, const State& b) {
        return {a.current_a + b.current_a, a.capacitor_v + b.capacitor_v};
    }
    static State newton(const State& x, const HalfPeriod& h) {
        const State miss = sum(x, h.end);
        const Sensitivity& s = h.sensitivity;
        const double ii = 1 + s.ii, uu = 1 + s.uu;
        const double determinant = ii * uu - s.iu * s.ui;
        return {(s.iu * miss.capacitor_v - uu * miss.current_a) / determinant,
                (s.ui * miss.current_a - ii * miss.capacitor_v) / determinant};
    }

    const BridgeLoad& load_;
    double bus_v_;
    const Sections& sections_;
};

void take_extremes(const Ringing& load, const Piece& p, const State& end, BridgeCurrent& out) {
    const auto look = [&out](const State& x) {
        out.peak_a = std::max(out.peak_a, std::abs(x.current_a));
        out.capacitor_peak_v = std::max(out.capacitor_peak_v, std::abs(x.capacitor_v));
    };
    look(p.start);
    if (p.resting) return;
    // Later turns of the current are smaller; of the capacitor's voltage, every second one. A piece too short for
    // two has none between ends of one sign.
    const bool short_one = load.at_most_one_zero(p.span_s);
    const auto may_pass_zero = [&](double from, double to) {
        return !short_one || from == 0 || (from < 0) != (to < 0);
    };
    if (may_pass_zero(load.slope(p.start, p.volts), load.slope(end, p.volts)))
        if (const double turn = load.turn_of_current(p.start, p.volts); turn < p.span_s)
            look(load.later(p.start, p.volts, turn));
    if (!may_pass_zero(p.start.current_a, end.current_a)) return;
    State x = p.start;
    double left = p.span_s;
    for (int zero = 0; zero < 2; ++zero) {
        const double next = load.zero_of_current(x, p.volts);
        if (!(next < left)) break;
        x = load.later(x, p.volts, next);
        x.current_a = 0;
        left -= next;
        look(x);
    }
}

State end_of(const std::vector<Piece>& pieces, std::size_t i) {
    if (i + 1 < pieces.size()) return pieces[i + 1].start;
    return {-pieces.front().start.current_a, -pieces.front().start.capacitor_v};
}

// Over a half period coil and capacitor give back what they took, so the heat is what the bridge gives. Where
// that is a small difference (a reactive load) the square is integrated itself.
double squares_of(const BridgeLoad& load, const Ringing& ringing, const std::vector<Piece>& pieces,
                  const BridgeCurrent& so_far, double bus_v) {
    double volts_squared = 0;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const double end_v =
            i + 1 < pieces.size() ? pieces[i + 1].start.capacitor_v : -pieces.front().start.capacitor_v;
        if (!pieces[i].resting) volts_squared += pieces[i].volts * (end_v - pieces[i].start.capacitor_v);
    }
    if (volts_squared > 0.005 * bus_v * so_far.capacitor_peak_v)
        return volts_squared * load.capacitance_f / load.resistance_ohm;
    double sum = 0;
    for (const Piece& p : pieces) {
        if (p.resting) continue;
        const auto current = [&](double t) { return ringing.later(p.start, p.volts, t).current_a; };
        sum += integral_of_square(current, p.span_s, ringing.faster_rad_per_s());
    }
    return sum;
}

void take_edges(const std::vector<Piece>& pieces, const BridgeVoltage& v, BridgeCurrent& out) {
    struct Turned {
        double size_a = 0, largest_a = 0, signed_a = 0;
    };
    std::array<Turned, 2> edges;
    double before_v = -pieces.back().volts;
    for (const Piece& p : pieces) {
        const double part_a = std::abs(p.start.current_a) * std::abs(p.volts - before_v) / v.bus_v;
        before_v = p.volts;
        if (!p.begins_section) continue;
        Turned& edge = edges[p.edge == Edge::rising ? 0 : 1];
        edge.size_a += part_a;
        if (part_a > edge.largest_a) edge.signed_a = p.start.current_a, edge.largest_a = part_a;
    }
    if (v.duty >= 1) {
        // Both legs turn at once: one edge is the other with the sign of half a period later.
        out.rising_edge_a = std::copysign((edges[0].size_a + edges[1].size_a) / 2, edges[0].signed_a);
        out.falling_edge_a = -out.rising_edge_a;
        return;
    }
    out.rising_edge_a = std::copysign(edges[0].size_a, edges[0].signed_a);
    out.falling_edge_a = std::copysign(edges[1].size_a, edges[1].signed_a);
}

}  // namespace

BridgeCurrent steady_state_with_dead_time(const BridgeLoad& load, const BridgeVoltage& v,
                                          const BridgeState& near, bool with_harmonics) {
    const double half = 0.5 / v.frequency_hz;
    const Ringing ringing(load);
    const Sections sections = with_dead_time(ringing, v);
    const State x = Periodic(load, v.bus_v, sections).from(near);
    std::vector<Piece> pieces;
    pieces.reserve(12);
    Walk(sections, x, &pieces).through();

    BridgeCurrent out;
    std::vector<HeldVoltage> held;
    held.reserve(pieces.size());
    double resting_s = 0;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const Piece& p = pieces[i];
        take_extremes(ringing, p, end_of(pieces, i), out);
        held.push_back({p.from_s, p.from_s + p.span_s, p.volts});
        out.zero_interval |= p.resting;
        if (p.resting && p.from_s < v.dead_time_s) resting_s += p.span_s;
    }
    out.diode_time_s = v.dead_time_s - resting_s;
    out.rms_a = std::sqrt(squares_of(load, ringing, pieces, out, v.bus_v) / half);
    take_edges(pieces, v, out);
    fill_harmonics(load, v.frequency_hz, held.data(), static_cast<int>(held.size()), with_harmonics, out);
    out.mean_power_w = load.resistance_ohm * out.rms_a * out.rms_a;
    return out;
}

}  // namespace ampturn::model::bridge
