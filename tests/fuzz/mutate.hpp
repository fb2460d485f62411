#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace ampturn::fuzz {

/// Changes that keep the structure of an input, so that more of them come past the parser. Deterministic: all chance comes from
/// `random`.
using Random = std::minstd_rand;

/// One of them; the list is not empty.
const std::string& one_of(const std::vector<std::string>& words, Random& random);

/// A text of lines: a line put in from `lines`, doubled, taken out, moved; a number put in the place of another. A line of `lines`
/// that ends in "= " gets a value.
std::string changed_lines(std::string text, const std::vector<std::string>& lines, Random& random);

/// A JSON text: a value anywhere in it put in the place of another, taken out, doubled or wrapped, a member renamed to one of `keys`.
/// Text that is no JSON comes back as it is.
std::string changed_json(const std::string& text, const std::vector<std::string>& keys, Random& random);

/// Half of the time libFuzzer's own change of bytes, else `change`. What every LLVMFuzzerCustomMutator here calls.
template <class Change>
std::size_t mutated(std::uint8_t* data, std::size_t size, std::size_t size_max, unsigned seed,
                    Change&& change);

/// `text` cut to the room there is; its new size.
std::size_t put_back(std::string_view text, std::uint8_t* data, std::size_t size_max);

}  // namespace ampturn::fuzz

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t size_max);

template <class Change>
std::size_t ampturn::fuzz::mutated(std::uint8_t* data, std::size_t size, std::size_t size_max, unsigned seed,
                                   Change&& change) {
    Random random(seed + 1);
    if (random() % 2 == 0) return LLVMFuzzerMutate(data, size, size_max);
    return put_back(change(std::string(reinterpret_cast<const char*>(data), size), random), data, size_max);
}
