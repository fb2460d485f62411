#pragma once

#include <string>
#include <vector>

namespace ampturn::plan::explain {

/// What `ampturn explain` prints for words. One word that is a key or a table: everything about it. Else a line and its
/// meaning for every key that has all the words in its name, its unit or its meaning, whatever their case; a word of
/// one or two letters ("Ah", "Hz") has to stand there as a whole. InputError with what is nearest when nothing has them:
/// keys, or words that were looked up and found before they are named.
std::string explain_words(const std::vector<std::string>& words);

}  // namespace ampturn::plan::explain
