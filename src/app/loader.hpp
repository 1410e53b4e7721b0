#pragma once
/// Files for the reader: the circuit file itself, and what it `use`s.

#include "base/result.hpp"

#include <string>
#include <string_view>

namespace loomproof::app {

/// Reads the file named on the command line wherever it lies ("-" is standard input), and everything else only from the folder of that
/// file and below, or, for names that begin with "parts/", from the parts that come with the program. A file name or a
/// link that leads out of these folders is refused, as is what is no plain file. Copies share nothing.
class FileLoader {
  public:
    explicit FileLoader(std::string main_path) : main_path_(std::move(main_path)) {}

    /// The text, or a sentence that names the file and the reason. `path` is the one of the command line, or a `use` name put
    /// behind the folder of that path.
    Result<std::string> operator()(const std::string& path) const;

  private:
    Result<std::string> used(const std::string& name) const;

    std::string main_path_;
};

/// A folder of what comes with the program ("parts", "templates"): beside it where it was built or installed, else where it was to be
/// installed. Empty where there is none.
std::string folder_that_comes_along(std::string_view name);

} // namespace loomproof::app
