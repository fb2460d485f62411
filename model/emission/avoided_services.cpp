#include "model/emission/avoided_services.hpp"

#include <array>

namespace ampturn::model::emission {
namespace {

constexpr const char* general = "general knowledge";
constexpr const char* wrc12 = "WRC-12 agenda item 1.16, secondary source (tests/reference/facts)";
constexpr const char* radio_regulations = "ITU Radio Regulations, article 5, from memory";
constexpr const char* restricted = "47 CFR 15.205 restricted band, from memory";

constexpr std::array services{
    AvoidedService{"lightning location, listens only", 8300, 11300, wrc12},
    AvoidedService{"navigation, RU", 11805, 12005, general},
    AvoidedService{"navigation, RU", 12549, 12749, general},
    AvoidedService{"navigation, RU", 14781, 14981, general},
    AvoidedService{"naval communication, NO", 16200, 16600, general},
    AvoidedService{"naval communication, RU", 17900, 18300, general},
    AvoidedService{"naval communication, IN", 18000, 18400, general},
    AvoidedService{"naval communication, FR", 18100, 18500, general},
    AvoidedService{"naval communication, UK", 19380, 19780, general},
    AvoidedService{"naval communication, AU", 19600, 20000, general},
    AvoidedService{"time signal, 20 kHz", 19950, 20050, radio_regulations},
    AvoidedService{"naval communication, IT", 20070, 20470, general},
    AvoidedService{"time signal, RU", 20400, 20600, general},
    AvoidedService{"naval communication, FR", 20700, 21100, general},
    AvoidedService{"naval communication, US", 21200, 21600, general},
    AvoidedService{"naval communication, FR", 21550, 21950, general},
    AvoidedService{"naval communication, UK", 21900, 22300, general},
    AvoidedService{"naval communication, JP", 22000, 22400, general},
    AvoidedService{"naval communication, FR", 22400, 22800, general},
    AvoidedService{"time signal, RU", 22900, 23100, general},
    AvoidedService{"naval communication, DE", 23200, 23600, general},
    AvoidedService{"naval communication, US", 23800, 24200, general},
    AvoidedService{"naval communication, US", 24600, 25000, general},
    AvoidedService{"time signal, RU", 24900, 25200, general},
    AvoidedService{"naval communication, US", 25000, 25400, general},
    AvoidedService{"time signal, RU", 25400, 25600, general},
    AvoidedService{"naval communication, TR", 26500, 26900, general},
    AvoidedService{"naval communication, IS", 37300, 37700, general},
    AvoidedService{"time signal, JP", 39950, 40050, general},
    AvoidedService{"naval communication, US", 40550, 40950, general},
    AvoidedService{"naval communication, IT", 45700, 46100, general},
    AvoidedService{"time signal, UK, US, JP", 59950, 60050, general},
    AvoidedService{"time signal, RU", 66620, 66720, general},
    AvoidedService{"time signal, CN", 68450, 68550, general},
    AvoidedService{"time signal, DE", 77450, 77550, general},
    AvoidedService{"radionavigation", 90e3, 110e3, restricted},
    AvoidedService{"amateur service", 135.7e3, 137.8e3, radio_regulations},
    AvoidedService{"long-wave broadcasting and time signal", 148.5e3, 283.5e3, general},
    AvoidedService{"aeronautical and maritime beacons", 283.5e3, 435e3, general},
    AvoidedService{"avalanche rescue beacons, 457 kHz", 456.9e3, 457.1e3, "EN 300 718, from memory"},
    AvoidedService{"amateur service", 472e3, 479e3, radio_regulations},
    AvoidedService{"maritime safety messages, 490 kHz", 489.5e3, 490.5e3, general},
    AvoidedService{"distress and calling", 495e3, 505e3, restricted},
    AvoidedService{"maritime safety messages, 518 kHz", 517.5e3, 518.5e3, general},
    AvoidedService{"medium-wave broadcasting", 526.5e3, 1606.5e3, general},
};

}  // namespace

std::span<const AvoidedService> avoided_services() { return services; }

}  // namespace ampturn::model::emission
