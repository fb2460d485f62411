#include "firmware-sim/session/session.hpp"
#include "scheduler/base/input_error.hpp"
#include "scheduler/base/json.hpp"
#include "scheduler/base/version.hpp"

namespace ampturn::sim::session {

record::Record SessionSetup::to_record() const {
    return {{"version", base::version()}, {"git", base::git_hash()}, {"seed", seed},
            {"start_utc_s", start_utc_s}, {"connected", connected},  {"guarded", guarded},
            {"plan_path", plan_path},     {"plan_text", plan_text},  {"drill_path", drill_path},
            {"drill_text", drill_text},   {"trainee", trainee}};
}

SessionSetup SessionSetup::from_record(const record::Record& record, const std::string& file) {
    SessionSetup setup;
    const auto refuse = [&](const std::string& key, const std::string& allowed) {
        const auto found = record.find(key);
        throw base::InputError({.file = file,
                                .position = {1, 0},
                                .key = key,
                                .found = found == record.end() ? "nothing" : found->dump(),
                                .allowed = allowed});
    };
    constexpr const char* first_record = "the first record of a session log";
    const auto take = [&](const char* key, auto& value) {
        try {
            record.at(key).get_to(value);
        } catch (const nlohmann::json::exception&) {  // not there, or of another kind
            refuse(key, first_record);
        }
    };
    const auto take_whole = [&]<class Whole>(const char* key, Whole& value) {
        const auto found = record.find(key);
        const auto whole = found == record.end() ? std::nullopt : base::whole_number<Whole>(*found);
        if (!whole) return refuse(key, first_record);
        value = *whole;
    };
    take_whole("seed", setup.seed);
    take_whole("start_utc_s", setup.start_utc_s);
    constexpr std::int64_t year_10000_s = 253'402'300'800;
    if (setup.start_utc_s < 0 || setup.start_utc_s >= year_10000_s)
        refuse("start_utc_s", "seconds since 1970, before the year 10000");
    take("connected", setup.connected);
    take("guarded", setup.guarded);
    take("plan_path", setup.plan_path);
    take("plan_text", setup.plan_text);
    take("drill_path", setup.drill_path);
    take("drill_text", setup.drill_text);
    take("trainee", setup.trainee);
    return setup;
}

}  // namespace ampturn::sim::session
