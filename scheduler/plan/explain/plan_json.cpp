#include "scheduler/plan/explain/plan_json.hpp"

#include <type_traits>
#include <variant>

#include "scheduler/base/number_text.hpp"
#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"

namespace ampturn::plan::explain {

using nlohmann::ordered_json;

ordered_json given_json(const tree::Value& value) {
    return std::visit(
        [](const auto& data) -> ordered_json {
            using Data = std::decay_t<decltype(data)>;
            if constexpr (std::is_same_v<Data, tree::Value::Table>) {
                ordered_json out = ordered_json::object();
                for (const tree::Member& member : data) out[member.name] = given_json(member.value);
                return out;
            } else if constexpr (std::is_same_v<Data, tree::Value::List>) {
                ordered_json out = ordered_json::array();
                for (const tree::Value& entry : data) out.push_back(given_json(entry));
                return out;
            } else if constexpr (std::is_same_v<Data, tree::TimeOfDay>) {
                return base::clock_text(data.seconds_from_midnight);
            } else if constexpr (std::is_same_v<Data, std::chrono::year_month_day>) {
                return base::date_text(data);
            } else {
                return data;
            }
        },
        value.data);
}

ordered_json keys_json() {
    ordered_json out = ordered_json::array();
    for (const FlatKey& key : flatten(file::plan_key_infos())) {
        const file::KeyInfo& info = *key.info;
        out.push_back({{"key", key.full_key},
                       {"table", !info.children.empty()},
                       {"repeated", info.repeated},
                       {"type", info.type},
                       {"unit", info.unit},
                       {"allowed", info.allowed},
                       {"default", info.default_text},
                       {"required", info.required},
                       {"absent", info.when_absent},
                       {"help", info.help},
                       {"source", info.source}});
    }
    return out;
}

}  // namespace ampturn::plan::explain
