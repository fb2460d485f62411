// What one sequencer, with its table and its record ring, takes of a unit's RAM.
#include "scheduler/core/sequencer.hpp"

extern "C" {
alignas(ampturn::core::Sequencer) unsigned char sequencer_storage[sizeof(ampturn::core::Sequencer)];
}
