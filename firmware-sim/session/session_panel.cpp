#include "firmware-sim/session/panel_message.hpp"
#include "firmware-sim/session/session.hpp"
#include "firmware-sim/session/whole_characters.hpp"

/// What panels ask for.
namespace ampturn::sim::session {

namespace {

constexpr std::size_t longest_words = 500;  // bytes

}  // namespace

void Session::panel_reply(const record::SessionInput& input, bool accepted, const std::string& text) {
    const nlohmann::json reply{{"kind", "reply"}, {"accepted", accepted}, {"text", text}};
    write_out(input.who, (accepted ? "accepted: " : "refused: ") + text);
    if (outputs_.send_to_panel) outputs_.send_to_panel(input.client, reply.dump());
}

void Session::tell_panel(const record::SessionInput& input, const std::string& ask) {
    if (ask != "hello" && ask != "debrief") return panel_reply(input, false, "ask hello or debrief");
    const bool trainer = input.role == record::Role::trainer;
    if (ask == "debrief" && !trainer && drill_ && !drill_->over())
        return panel_reply(input, false, "the debrief comes when the drill is over");
    if (outputs_.send_to_panel)
        outputs_.send_to_panel(input.client,
                               (ask == "debrief" ? debrief(input.role) : hello_json(input.role)).dump());
}

void Session::act_for_panel(const record::SessionInput& input, const std::string& name) {
    const auto action = site::action_named(name);
    if (!action) return panel_reply(input, false, "unknown action");
    if (site::info(*action).seat == site::Seat::receiver && receiver_client_ != input.client)
        return panel_reply(input, false, "for the receiver crew: take the seat first");
    const site::ActionReply reply = site_->act(*action, input.who);
    panel_reply(input, reply.accepted, reply.text);
}

void Session::seat_panel(const record::SessionInput& input, const std::string& what) {
    if (what == "take") {
        if (receiver_client_ && receiver_client_ != input.client)
            return panel_reply(input, false, "the seat is taken by " + site_->receiver_seat());
        receiver_client_ = input.client;
        site_->take_receiver_seat(input.who);
        return panel_reply(input, true, "you are the receiver crew");
    }
    if (what != "leave") return panel_reply(input, false, "take or leave the seat");
    if (receiver_client_ != input.client) return panel_reply(input, false, "you do not sit there");
    leave_receiver_seat();
    panel_reply(input, true, "left");
}

void Session::leave_receiver_seat() {
    receiver_client_.reset();
    site_->leave_receiver_seat();
}

void Session::take_panel(const record::SessionInput& input) {
    const PanelMessage asked(input.text);
    if (!asked.is_object()) return panel_reply(input, false, "not a JSON object");
    if (const std::string ask = asked.text("ask"); !ask.empty()) return tell_panel(input, ask);
    const std::string action = asked.text("do");
    // Stopping is for everybody.
    const bool stops = action == "stop" || action == "emergency_stop";
    if (input.role == record::Role::watcher && !stops)
        return panel_reply(input, false,
                           "this panel may look and stop, no more: open the link that carries the token");
    if (input.role != record::Role::trainer &&
        (asked.has("fault") || asked.has("pace") || asked.has("remark")))
        return panel_reply(input, false, "for the trainer: open the instructor's link");
    if (!action.empty()) return act_for_panel(input, action);
    if (const std::string seat = asked.text("seat"); !seat.empty()) return seat_panel(input, seat);
    if (const std::string words = asked.text("radio"); !words.empty()) {
        const site::Seat from =
            receiver_client_ == input.client ? site::Seat::receiver : site::Seat::transmitter;
        const site::ActionReply reply =
            site_->say_by_radio(from, std::string(whole_characters(words, longest_words)), input.who);
        return panel_reply(input, reply.accepted, reply.text);
    }
    if (const std::string name = asked.text("fault"); !name.empty()) {
        const auto fault = site::fault_named(name);
        const auto on = asked.flag("on");
        if (!fault || !on) return panel_reply(input, false, "unknown fault");
        site_->set_fault(*fault, *on, input.who);
        return panel_reply(input, true, name);
    }
    if (const std::string remark = asked.text("remark"); !remark.empty()) {
        on_site_event(
            {site::EventType::remark(), input.who, std::string(whole_characters(remark, longest_words))});
        return panel_reply(input, true, "remark noted");
    }
    if (const std::string pace = asked.text("pace"); !pace.empty()) {
        const auto wanted = pace_request_of(pace);
        if (!wanted) return panel_reply(input, false, std::string("unknown pace: ") + pace_form);
        if (outputs_.pace) outputs_.pace(*wanted, pace);
        return panel_reply(input, true, pace);
    }
    if (asked.has("course"))
        return panel_reply(input, false, "no course runs here: ampturn-sim course FOLDER begins one");
    if (asked.text("drill") == "finish") {
        if (!drill_ || drill_->over()) return panel_reply(input, false, "no drill is running");
        drill_->finish(site_->now_s(), drill::DrillEnd::finished_on_panel);
        return panel_reply(input, true, "drill finished");
    }
    panel_reply(input, false, "unknown request");
}

}  // namespace ampturn::sim::session
