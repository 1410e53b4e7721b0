#pragma once
/// The talk of `begin` with somebody: from the list of jobs to a file that is written, checked and drawn. Inside matter of begin.cpp.

#include "app/asking.hpp"
#include "app/command.hpp"
#include "begin/dialogue.hpp"
#include "begin/into.hpp"
#include "begin/wanted.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::app {

/// A circuit file to which a form is added.
struct OldFile {
    std::string path, text;
    Circuit circuit;
};
/// Nothing, after saying why, where it cannot be read, has mistakes, or is standard input.
std::optional<OldFile> read_old_file(const std::string& path, const Console&);

struct JobForms {
    std::vector<begin::Form> forms;
    std::vector<const char*> names;
};

/// Nothing, after saying why, where one is missing.
std::optional<JobForms> all_forms(const Console&);

class BeginTalk {
  public:
    /// `into`: null where a new file is made. All must outlive the talk.
    BeginTalk(Console& console, Asking& asking, const JobForms& jobs, const OldFile* into)
        : console_(console), asking_(asking), jobs_(jobs), into_(into) {}

    /// Without one form in it, it is asked which.
    Exit run(begin::Wanted);

    /// What has to be said about the form that was found: nearest, heard already, other jobs besides.
    static std::string about(const JobForms&, const begin::Wanted&, const OldFile* into, const report::Screen&);
    /// The form as it is for this file; a failure is what to tell.
    static Result<begin::ForCar> form_for(const JobForms&, const begin::Wanted&, const OldFile* into);

  private:
    enum class Next { job, stop, written };
    void wrong(const std::string& question, const std::string& why) const;
    std::optional<begin::Wanted> choose();
    Next questions(begin::Dialogue&);
    begin::Word write(begin::Dialogue&);
    begin::Word add(begin::Dialogue&);
    Exit ended();
    Exit finish(const begin::Dialogue&, const begin::Wanted&);
    std::string rests_on(const begin::Dialogue&) const;

    Console& console_;
    Asking& asking_;
    const JobForms& jobs_;
    const OldFile* into_;
    std::string written_;
};

std::string list_of_jobs(const JobForms&, const report::Screen&, bool names);
std::string names_of(const JobForms&, const std::vector<std::size_t>&);
/// The cautions that stand before everything else.
std::string opening(const report::Screen&);

} // namespace loomproof::app
