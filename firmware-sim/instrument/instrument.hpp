#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "firmware-sim/instrument/sweep_lists.hpp"
#include "firmware-sim/scpi/parameter.hpp"
#include "firmware-sim/scpi/status.hpp"
#include "firmware-sim/scpi/tree.hpp"
#include "firmware-sim/site/site.hpp"

namespace ampturn::sim::instrument {

/// The command language of the unit (docs/protocol.md): interprets program messages of several clients, one
/// status model each, and works the controls of one site. Deterministic: answers depend on the messages and
/// their virtual times only.
class Instrument {
  public:
    using ClientId = std::uint32_t;
    /// `done`: the message of this client is dealt with. An answer may come long after the message (*OPC?).
    using Answer = std::function<void(ClientId, const std::string& text, bool done)>;
    /// `token`: what SYSTem:PASSword:CENable must carry; empty when nothing is protected.
    Instrument(site::Site& site, std::string token, Answer answer);

    void open(ClientId client, bool trusted, const std::string& name);
    void close(ClientId client);
    /// One program message without its newline. The client sends no other before its answer is done.
    void message(ClientId client, const std::string& text);
    void overrun(ClientId client, const std::string& detail);
    /// To be called after anything that may have changed the unit: moves condition bits, ends waits.
    void notice();

    /// Into every client's error queue.
    void report_to_all(const scpi::Error& error);

    /// Every header known, as patterns.
    const std::vector<std::string>& headers() const { return tree_.patterns(); }

  private:
    struct Client {
        scpi::Status status;
        bool trusted = true;
        std::string name;
        scpi::Tree::Position position;
        std::deque<scpi::Command> waiting;  // units of the message in hand not yet done
        std::optional<scpi::Error> ends_with;
        std::string response;
        bool responded = false;
        bool indefinite = false;  // *IDN? was answered: no query may follow (IEEE 488.2, 8.7.11)
        bool in_message = false;
        bool holds = false;  // *WAI or *OPC? in hand
        bool opc_query = false;
        bool opc_wanted = false;  // *OPC
    };
    using Handler = void (Instrument::*)(Client&, scpi::Parameters&);
    struct Entry {
        Handler run;
        bool changes;  // needs trust
    };

    void add(const char* pattern, Handler handler, bool changes = false);
    void add_common();
    void add_system();
    void add_lists();
    void add_controls();
    void proceed(ClientId id, Client& client);
    void run_unit(Client& client, const scpi::Command& command);
    void respond(Client& client, const std::string& text);
    bool operation_pending() const;
    void check(core::Reply reply, scpi::ErrorCode code) const;
    void use_lists();
    void take_lists_of_unit();
    void set_conditions(scpi::Status& status) const;

    // common
    void clear_status(Client&, scpi::Parameters&);
    void set_event_enable(Client&, scpi::Parameters&);
    void get_event_enable(Client&, scpi::Parameters&);
    void get_event_status(Client&, scpi::Parameters&);
    void identify(Client&, scpi::Parameters&);
    void operation_complete(Client&, scpi::Parameters&);
    void wait_operation_complete(Client&, scpi::Parameters&);
    void reset(Client&, scpi::Parameters&);
    void set_service_enable(Client&, scpi::Parameters&);
    void get_service_enable(Client&, scpi::Parameters&);
    void get_status_byte(Client&, scpi::Parameters&);
    void self_test(Client&, scpi::Parameters&);
    void wait_to_continue(Client&, scpi::Parameters&);
    void bus_trigger(Client&, scpi::Parameters&);
    // SYSTem
    void next_error(Client&, scpi::Parameters&);
    void all_errors(Client&, scpi::Parameters&);
    void next_error_code(Client&, scpi::Parameters&);
    void all_error_codes(Client&, scpi::Parameters&);
    void count_errors(Client&, scpi::Parameters&);
    void get_version(Client&, scpi::Parameters&);
    void get_time(Client&, scpi::Parameters&);
    void get_date(Client&, scpi::Parameters&);
    void get_state(Client&, scpi::Parameters&);
    void get_headers(Client&, scpi::Parameters&);
    void password_enable(Client&, scpi::Parameters&);
    void password_disable(Client&, scpi::Parameters&);
    void password_state(Client&, scpi::Parameters&);
    // STATus
    template <scpi::RegisterGroup scpi::Status::*group>
    void add_group(const char* name);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_event(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_condition(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_set_enable(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_get_enable(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_set_positive(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_get_positive(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_set_negative(Client&, scpi::Parameters&);
    template <scpi::RegisterGroup scpi::Status::*group>
    void group_get_negative(Client&, scpi::Parameters&);
    void status_preset(Client&, scpi::Parameters&);
    // LIST
    void set_frequency(Client&, scpi::Parameters&);
    void get_frequency(Client&, scpi::Parameters&);
    void frequency_points(Client&, scpi::Parameters&);
    void set_current(Client&, scpi::Parameters&);
    void get_current(Client&, scpi::Parameters&);
    void current_points(Client&, scpi::Parameters&);
    void set_dwell(Client&, scpi::Parameters&);
    void get_dwell(Client&, scpi::Parameters&);
    void dwell_points(Client&, scpi::Parameters&);
    void set_count(Client&, scpi::Parameters&);
    void get_count(Client&, scpi::Parameters&);
    void set_loop(Client&, scpi::Parameters&);
    void get_loop(Client&, scpi::Parameters&);
    void loop_points(Client&, scpi::Parameters&);
    void set_tap(Client&, scpi::Parameters&);
    void get_tap(Client&, scpi::Parameters&);
    void tap_points(Client&, scpi::Parameters&);
    void set_capacitor(Client&, scpi::Parameters&);
    void get_capacitor(Client&, scpi::Parameters&);
    void capacitor_points(Client&, scpi::Parameters&);
    void set_image(Client&, scpi::Parameters&);
    void get_image(Client&, scpi::Parameters&);
    void get_step(Client&, scpi::Parameters&);
    // controls and measurements
    void arm(Client&, scpi::Parameters&);
    void initiate(Client&, scpi::Parameters&);
    void abort(Client&, scpi::Parameters&);
    void trigger(Client&, scpi::Parameters&);
    void set_trigger_source(Client&, scpi::Parameters&);
    void get_trigger_source(Client&, scpi::Parameters&);
    void clear_protection(Client&, scpi::Parameters&);
    void get_tripped(Client&, scpi::Parameters&);
    void get_trip_causes(Client&, scpi::Parameters&);
    void get_output(Client&, scpi::Parameters&);
    void measure_voltage(Client&, scpi::Parameters&);
    void measure_bus(Client&, scpi::Parameters&);
    void measure_current(Client&, scpi::Parameters&);
    void measure_winding(Client&, scpi::Parameters&);
    void measure_electronics(Client&, scpi::Parameters&);

    scpi::Limits frequency_limits() const;
    scpi::Limits current_limits() const;
    static scpi::Limits dwell_limits();
    void need_idle() const;

    site::Site& site_;
    std::string token_;
    Answer answer_;
    scpi::Tree tree_;
    std::vector<Entry> entries_;
    std::map<ClientId, Client> clients_;
    SweepLists lists_;
    bool lists_changed_ = false;  // since the unit's table was made of them
    bool trigger_by_bus_ = false;
    bool waiting_for_trigger_ = false;
    std::string current_name_;  // of the client whose unit is running
};

}  // namespace ampturn::sim::instrument
