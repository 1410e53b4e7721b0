#pragma once
/// The table of commands: what each is called, what it takes, what it does. The command line is read by it, and all help texts
/// are made from it.
///
/// A new command is one file with its run function and one row in commands.cpp.

#include "app/console.hpp"

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::app {

/// Exit status: 0 nothing found that counts, 1 something found, 2 could not do the job.
enum class Exit { clean = 0, found = 1, failed = 2 };

/// What stood on the command line after the command: values by the name of the argument or option ("FILE", "--all").
class Given {
  public:
    bool has(std::string_view name) const { return values_.find(name) != values_.end(); }
    /// Empty where it was not given.
    std::string value(std::string_view name) const {
        const auto at = values_.find(name);
        return at == values_.end() ? std::string{} : at->second;
    }
    void set(std::string name, std::string value) { values_[std::move(name)] = std::move(value); }

  private:
    std::map<std::string, std::string, std::less<>> values_;
};

struct Argument {
    const char* name; ///< in capitals: "FILE"
    const char* help;
    bool needed = true;
    std::vector<std::string> (*known)() = nullptr; ///< what it may be, for completion; null: anything, or a file
    bool many = false; ///< takes all words to the end, which are put together with blanks between
};

struct Option {
    const char* name;  ///< "--all", "-o"
    const char* value; ///< what follows it, in capitals: "FILE"; null for a plain switch
    const char* help;
    std::span<const std::string_view> choices = {}; ///< the values it may have; empty = any
    bool repeats = false; ///< may stand several times: the values are taken together, with commas between
};

struct Command {
    const char* name;
    const char* summary; ///< one line without a full stop, for the list of commands
    const char* about;   ///< for its own help: whole sentences, set into lines when printed
    std::span<const Argument> arguments;
    std::span<const Option> options;
    Exit (*run)(const Given&, Console&);
};

/// All commands in their printed order.
std::span<const Command> commands();
const Command* find_command(std::string_view name);

// One file each.
Exit check(const Given&, Console&);
Exit draw(const Given&, Console&);
Exit predict(const Given&, Console&);
Exit trace(const Given&, Console&);
Exit tidy(const Given&, Console&);
Exit explain(const Given&, Console&);
Exit size(const Given&, Console&);
Exit begin(const Given&, Console&);
Exit help_command(const Given&, Console&);
Exit watch(const Given&, Console&);
Exit plug(const Given&, Console&);

/// For completion: what `explain` knows, what `help` knows, the jobs of `begin`.
std::vector<std::string> names_to_explain();
std::vector<std::string> names_for_help();
std::vector<std::string> names_of_jobs();

} // namespace loomproof::app
