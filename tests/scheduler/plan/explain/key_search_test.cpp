#include "scheduler/plan/explain/key_search.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <string>
#include <vector>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/explain/key_reference.hpp"
#include "scheduler/plan/file/config.hpp"

namespace key_search_test {

using namespace ampturn;
using plan::explain::explain_words;
using testing::HasSubstr;
using testing::Not;

/// The one problem of words that nothing is found for.
base::InputProblem refused(const std::vector<std::string>& words) {
    try {
        const std::string found = explain_words(words);
        ADD_FAILURE() << "found " << found;
    } catch (const base::InputError& error) {
        EXPECT_EQ(error.problems().size(), 1u);
        return error.problems()[0];
    }
    return {};
}

TEST(KeySearch, EveryKeyIsFoundByItsOwnNameAndByItsMeaning) {
    const auto keys = plan::explain::flatten(plan::file::plan_key_infos());
    ASSERT_GT(keys.size(), 180u);
    for (const plan::explain::FlatKey& key : keys) {
        EXPECT_EQ(explain_words({key.full_key}), *plan::explain::explain_key(key.full_key));
        std::string loud = key.info->help;
        std::transform(loud.begin(), loud.end(), loud.begin(),
                       [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
        const std::string found = explain_words({loud});
        EXPECT_THAT(found, HasSubstr(key.full_key)) << "definition: case does not matter";
    }
}

TEST(KeySearch, AllWordsHaveToMatch) {
    const std::string both = explain_words({"RESISTANCE", "battery"});
    EXPECT_THAT(both, HasSubstr("battery.cell_resistance_ohm  [ohm]\n"));
    EXPECT_THAT(both, Not(HasSubstr("battery.capacity_ah")));
    EXPECT_THAT(both, Not(HasSubstr("receiver.contact_resistance_ohm")));
    EXPECT_EQ(explain_words({"battery resistance"}), both) << "definition: one argument of two words";
}

TEST(KeySearch, UnitsAreFoundAndShortWordsOnlyWhole) {
    EXPECT_THAT(explain_words({"km/h"}), HasSubstr("day.walking_speed_km_h"));
    const std::string amp_hours = explain_words({"Ah"});
    EXPECT_THAT(amp_hours, HasSubstr("battery.capacity_ah"));
    EXPECT_THAT(amp_hours, Not(HasSubstr("battery.chemistry"))) << "\"charged\" holds no whole \"ah\"";
    EXPECT_THAT(explain_words({"%"}), HasSubstr("targets.rho_error_percent"));
}

TEST(KeySearch, WhatIsNearestWasLookedUp) {
    EXPECT_EQ(refused({"batery.capacity_ah"}).allowed, "the nearest known key \"battery.capacity_ah\"");
    const std::string advice = refused({"battrey", "resistence"}).allowed;
    const std::string command = "`ampturn explain ";
    const std::size_t at = advice.find(command);
    ASSERT_NE(at, std::string::npos) << advice;
    const std::string words = advice.substr(at + command.size());
    EXPECT_THAT(explain_words({words.substr(0, words.find('`'))}), HasSubstr("battery.cell_resistance_ohm"));
    EXPECT_THAT(refused({"frost", "loop"}).found, HasSubstr("no key"));
    EXPECT_THAT(refused({"interferer", "battery"}).allowed, HasSubstr("\"battery\" (in "));
    EXPECT_THAT(refused({"xyzzy"}).allowed, HasSubstr("`ampturn explain` lists"));
    EXPECT_THAT(refused({""}).allowed, HasSubstr("`ampturn explain` lists"));
}

}  // namespace key_search_test
