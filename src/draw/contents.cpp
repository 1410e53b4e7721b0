#include "draw/contents.hpp"

#include "base/words.hpp"
#include "draw/functions.hpp"
#include "draw/legend.hpp"
#include "draw/supply_tree.hpp"

#include <algorithm>
#include <cctype>
#include <map>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// K2 before K10: digits count as numbers.
bool natural_less(const std::string& left, const std::string& right) {
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    const std::string a = lower(left), b = lower(right);
    std::size_t i = 0, k = 0;
    while (i < a.size() && k < b.size()) {
        if (!is_digit(a[i]) || !is_digit(b[k])) {
            if (a[i] != b[k]) return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[k]);
            ++i;
            ++k;
            continue;
        }
        while (i < a.size() && a[i] == '0') ++i;
        while (k < b.size() && b[k] == '0') ++k;
        std::size_t end_a = i, end_b = k;
        while (end_a < a.size() && is_digit(a[end_a])) ++end_a;
        while (end_b < b.size() && is_digit(b[end_b])) ++end_b;
        if (end_a - i != end_b - k) return end_a - i < end_b - k;
        const int order = a.compare(i, end_a - i, b, k, end_b - k);
        if (order != 0) return order < 0;
        i = end_a;
        k = end_b;
    }
    if (a.size() - i != b.size() - k) return a.size() - i < b.size() - k;
    return left < right;
}

// ---- the pages

constexpr double row_height = 23;
constexpr double base_line = 16; ///< from a row's top
constexpr double indent = 26;
constexpr double between = 14; ///< columns of text
constexpr double title_step = 26, next_line = 17;

double width_of(const std::string& text, WordKind kind) {
    return paper::text_width(text, size_of(kind), weight_of(kind));
}
std::vector<std::string> lines_of(const std::string& text, double limit, WordKind kind) {
    return paper::broken_into_lines(text, limit, size_of(kind), weight_of(kind));
}

struct Entry {
    std::string name, what;
    std::vector<Spot> spots;
    std::vector<int> tables; ///< sheets on which its table stands
};

class Writer {
  public:
    Writer(const SetPlan& plan, double width, double height, double edge)
        : plan_(plan),
          width_(width),
          height_(height),
          left_(edge),
          right_(width - edge),
          top_(edge),
          bottom_(height - edge - 30) {}

    std::vector<Sheet> run() {
        open_page();
        write_sheets();
        write_remarks();
        write_jobs();
        write_tree();
        write_parts();
        write_marks();
        number_pages();
        return std::move(pages_);
    }

  private:
    void word(double x, double y, std::string text, WordKind kind, Anchor anchor = Anchor::start) {
        if (!text.empty()) pages_[page_].notes.words.push_back({std::move(text), {x, y}, anchor, kind, false});
    }
    void line(double x1, double y1, double x2, double y2) {
        pages_[page_].notes.ink.emplace_back(
            Trace{{{Step::Type::move, {x1, y1}}, {Step::Type::line, {x2, y2}}}, Look::hair});
    }

    void open_page() {
        if (pages_.size() > page_ + 1)
            ++page_;
        else {
            pages_.push_back(Sheet{.width = width_, .height = height_});
            page_ = pages_.size() - 1;
        }
        // The title is written last, when it is known how many pages there are.
        const std::string longest = title_with(*plan_.whole, "contents") + ", page 8 of 8";
        const std::size_t lines = lines_of(longest, right_ - left_, WordKind::title).size();
        y_ = top_ + 44 + title_step * static_cast<double>(lines > 0 ? lines - 1 : 0);
    }
    void need(double room) {
        if (y_ + room > bottom_) open_page();
    }
    void heading(const std::string& text) {
        need(3 * row_height + 20);
        y_ += 14;
        word(left_, y_ + 14, text, WordKind::heading);
        y_ += 22;
        line(left_, y_, right_, y_);
        y_ += 4;
    }

    void write_sheets() {
        heading("Sheets");
        for (std::size_t s = 0; s < plan_.titles.size(); ++s) {
            const std::vector<std::string> lines = lines_of(plan_.titles[s], right_ - left_ - 60, WordKind::line);
            need(row_height * static_cast<double>(std::max<std::size_t>(1, lines.size())));
            word(left_ + 34, y_ + base_line, std::to_string(s + 1), WordKind::rating, Anchor::end);
            for (const std::string& text : lines) {
                word(left_ + 48, y_ + base_line, text, WordKind::line);
                y_ += lines.size() > 1 ? row_height - 5 : row_height;
            }
        }
    }

    // What check says of the whole, each finding with its mark and the place of it.
    void write_remarks() {
        constexpr double room_for_mark = 60;
        const Sketch& whole = *plan_.whole;
        if (whole.verdict.empty()) return;
        heading("What check found");
        for (const std::string& text : lines_of(whole.verdict, right_ - left_, WordKind::rating)) {
            need(row_height);
            word(left_, y_ + base_line, text, WordKind::rating);
            y_ += row_height - 4;
        }
        for (const Remark& r : whole.remarks) {
            const auto mark = plan_.marks.find(number_of_mark(r.mark));
            const std::string where = mark != plan_.marks.end() ? spots_as_text({mark->second}).front() : "";
            const double where_width = where.empty() ? 0 : width_of(where, WordKind::line) + between;
            const std::vector<std::string> lines =
                lines_of(r.text, right_ - left_ - room_for_mark - where_width, WordKind::line);
            need(row_height * static_cast<double>(lines.size()));
            y_ += 4;
            word(right_, y_ + base_line, where, WordKind::line, Anchor::end);
            if (r.shown) {
                const double top = y_ + base_line - 15;
                const Box box{left_, top, left_ + mark_width(r.mark), top + mark_height};
                pages_[page_].notes.ink.emplace_back(mark_sign(box, r.mark));
                pages_[page_].notes.words.push_back(mark_words(box, r.mark));
            }
            for (const std::string& text : lines) {
                word(left_ + room_for_mark, y_ + base_line, text, WordKind::line);
                y_ += row_height - 4;
            }
        }
        y_ += 4;
    }
    // What the letters on the sheets stand for; what no sheet can show because it is gone.
    void write_jobs() {
        if (plan_.whole->jobs.empty()) return;
        heading("Jobs");
        for (const Job& job : plan_.whole->jobs) {
            need(row_height);
            word(left_ + 34, y_ + base_line, std::string(1, job.letter), WordKind::rating, Anchor::end);
            const std::vector<std::string> lines =
                lines_of(job.title + ", " + job.status, right_ - left_ - 60, WordKind::line);
            for (std::size_t i = 0; i < lines.size(); ++i)
                word(left_ + 48, y_ + base_line + next_line * static_cast<double>(i), lines[i], WordKind::line);
            y_ += row_height + next_line * static_cast<double>(lines.empty() ? 0 : lines.size() - 1);
        }
        for (const std::string& line : plan_.whole->removed)
            for (const std::string& text : lines_of(line, right_ - left_ - 60, WordKind::line)) {
                need(row_height);
                word(left_ + 48, y_ + base_line, text, WordKind::line);
                y_ += row_height;
            }
    }

    void write_marks() {
        heading("Marks");
        const int minus = minus_foot(*plan_.whole);
        const std::string minus_at = minus < 0 ? "" : spots_as_text(plan_.spots[index(minus)]).front();
        for (const std::string& line : leading_marks(*plan_.whole, minus_at, plan_.black_and_white))
            for (const std::string& text : lines_of(line, right_ - left_, WordKind::line)) {
                need(row_height);
                word(left_, y_ + base_line, text, WordKind::line);
                y_ += row_height - 4;
            }
    }

    // Name, rating and purpose in one row, a thin line to the place at the right.
    void write_tree() {
        const std::vector<Branch> tree = supply_tree(*plan_.whole);
        if (tree.empty()) return;
        heading("Supply: from the battery to the fuses");
        std::vector<double> open(32, -1); // by depth: from where a line comes down
        for (const Branch& branch : tree) {
            const std::size_t before = page_;
            need(row_height);
            if (before != page_) std::fill(open.begin(), open.end(), -1);
            const Symbol& symbol = plan_.whole->symbols[index(branch.symbol)];
            const int depth = std::min(branch.depth, 24);
            const double x = left_ + 6 + depth * indent, middle = y_ + base_line - 5;
            if (depth > 0) {
                const std::size_t parent = index(depth - 1);
                const double from = open[parent] >= 0 ? open[parent] : y_;
                line(x - indent + 5, from, x - indent + 5, middle);
                line(x - indent + 5, middle, x - 4, middle);
                open[parent] = branch.last ? -1 : middle;
            }
            open[index(depth)] = y_ + base_line + 5;
            const std::string where = spots_as_text(plan_.spots[index(branch.symbol)]).front();
            const double where_left = right_ - width_of(where, WordKind::line);
            const auto [end, more_lines] =
                write_branch(symbol, plan_.purpose[index(branch.symbol)], x, where_left - between);
            if (where_left - end > 3 * between)
                line(end + between, y_ + base_line - 1, where_left - between, y_ + base_line - 1);
            word(right_, y_ + base_line, where, WordKind::line, Anchor::end);
            y_ += row_height + next_line * more_lines;
        }
    }

    // Where its first line ends, and how many more there are.
    std::pair<double, int> write_branch(const Symbol& symbol, const std::string& purpose, double x, double limit) {
        const std::string name =
            symbol.name.empty() ? (symbol.lines.empty() ? "feed" : symbol.lines.front()) : symbol.name;
        word(x, y_ + base_line, name, WordKind::name);
        x += width_of(name, WordKind::name) + 10;
        if (!symbol.rating.empty() && x + width_of(symbol.rating, WordKind::rating) < limit) {
            word(x, y_ + base_line, symbol.rating, WordKind::rating);
            x += width_of(symbol.rating, WordKind::rating) + 10;
        }
        std::string what = purpose;
        if (what.empty() && !symbol.name.empty()) what = symbol.lines.empty() ? symbol.title : symbol.lines.front();
        if (what == symbol.name) what.clear();
        const std::vector<std::string> lines = lines_of(what, limit - x, WordKind::line);
        if (lines.empty()) return {x - 10, 0};
        for (std::size_t i = 0; i < lines.size(); ++i)
            word(x, y_ + base_line + next_line * static_cast<double>(i), lines[i], WordKind::line);
        return {x + width_of(lines.front(), WordKind::line), static_cast<int>(lines.size()) - 1};
    }

    // ---- parts: a table in as many columns as the page is wide for

    std::vector<Entry> entries() const {
        std::map<std::string, Entry> by_name;
        for (std::size_t s = 0; s < plan_.whole->symbols.size(); ++s) {
            const Symbol& symbol = plan_.whole->symbols[s];
            // A plug, a stud stand once, for all their holes and feet.
            const std::string name = symbol.group.empty() ? symbol.name : symbol.group;
            if (name.empty() || plan_.spots[s].empty()) continue;
            Entry& entry = by_name[name];
            entry.name = name;
            std::string what = symbol.kind == SymbolKind::off_sheet ? ""
                               : symbol.lines.empty()               ? symbol.title
                                                                    : symbol.lines.front();
            if (what == name) what.clear();
            if (!symbol.place.empty()) what += (what.empty() ? "" : ", ") + symbol.place;
            if (entry.what.empty()) entry.what = what;
            entry.spots.insert(entry.spots.end(), plan_.spots[s].begin(), plan_.spots[s].end());
        }
        for (const auto& [name, sheet] : plan_.tables)
            if (const auto at = by_name.find(name); at != by_name.end()) at->second.tables.push_back(sheet);
        std::vector<Entry> all;
        for (auto& [name, entry] : by_name) all.push_back(std::move(entry));
        std::sort(all.begin(), all.end(), [](const Entry& a, const Entry& b) { return natural_less(a.name, b.name); });
        return all;
    }

    struct Row {
        std::vector<std::string> name, what, where;
        double height() const {
            const std::size_t lines = std::max({name.size(), what.size(), where.size()});
            return row_height + 17 * static_cast<double>(lines > 0 ? lines - 1 : 0);
        }
    };

    void write_parts() {
        const std::vector<Entry> all = entries();
        if (all.empty()) return;
        heading("Parts");
        const int columns = std::max(1, static_cast<int>((right_ - left_) / 345));
        const double column_width = (right_ - left_ - 30 * (columns - 1)) / columns;
        double name_width = 50;
        for (const Entry& e : all) name_width = std::max(name_width, std::min(130.0, width_of(e.name, WordKind::name)));
        std::vector<Row> rows;
        double where_width = 0;
        for (const Entry& e : all) {
            Row row;
            row.where = spots_as_text(e.spots);
            for (const int sheet : e.tables) row.where.push_back("table: sheet\u00A0" + std::to_string(sheet));
            for (const std::string& text : row.where)
                where_width = std::max(where_width, width_of(text, WordKind::line));
            rows.push_back(std::move(row));
        }
        where_width = std::min(where_width, column_width / 2.4);
        for (std::size_t i = 0; i < all.size(); ++i) {
            std::vector<std::string> broken;
            for (const std::string& text : rows[i].where)
                for (std::string& part : lines_of(text, where_width, WordKind::line)) broken.push_back(std::move(part));
            rows[i].where = std::move(broken);
            rows[i].name = lines_of(all[i].name, name_width, WordKind::name);
            // A name too long for its column takes room from what stands behind it.
            double widest = name_width;
            for (const std::string& text : rows[i].name) widest = std::max(widest, width_of(text, WordKind::name));
            rows[i].what = lines_of(all[i].what, std::max(40.0, column_width - widest - where_width - 2 * between),
                                    WordKind::line);
        }
        for (std::size_t next = 0; next < rows.size();) {
            if (bottom_ - y_ < 4 * row_height) open_page();
            next = fill_columns(rows, next, columns, column_width, name_width, where_width);
        }
    }

    // As many rows as this page holds; evenly deep columns where that is all that is left.
    std::size_t fill_columns(const std::vector<Row>& rows, std::size_t next, int columns, double column_width,
                             double name_width, double where_width) {
        double left_over = 0, tallest = 0;
        for (std::size_t i = next; i < rows.size(); ++i) {
            left_over += rows[i].height();
            tallest = std::max(tallest, rows[i].height());
        }
        const double depth = std::min(bottom_ - y_, std::max(left_over / columns + tallest, row_height));
        const double begin = y_;
        double deepest = begin;
        for (int c = 0; c < columns; ++c) {
            const double x = left_ + c * (column_width + 30);
            double y = begin;
            for (bool first = true; next < rows.size() && (first || y + rows[next].height() <= begin + depth);
                 ++next, first = false) {
                write_row(rows[next], x, y, column_width, name_width, where_width);
                y += rows[next].height();
            }
            deepest = std::max(deepest, y);
        }
        y_ = deepest;
        if (next < rows.size()) y_ = bottom_;
        return next;
    }

    void write_row(const Row& row, double x, double y, double column_width, double name_width, double where_width) {
        double widest = name_width;
        for (const std::string& text : row.name) widest = std::max(widest, width_of(text, WordKind::name));
        const auto write = [&](double at, const std::vector<std::string>& lines, WordKind kind) {
            for (std::size_t i = 0; i < lines.size(); ++i)
                word(at, y + base_line + 17 * static_cast<double>(i), lines[i], kind);
        };
        write(x, row.name, WordKind::name);
        write(x + widest + between, row.what, WordKind::line);
        write(x + column_width - where_width, row.where, WordKind::line);
        line(x, y + row.height() - 1, x + column_width, y + row.height() - 1);
    }

    void number_pages() {
        for (page_ = 0; page_ < pages_.size(); ++page_) {
            std::string title = title_with(*plan_.whole, "contents");
            if (pages_.size() > 1)
                title += ", page " + std::to_string(page_ + 1) + " of " + std::to_string(pages_.size());
            const std::vector<std::string> lines = lines_of(title, right_ - left_, WordKind::title);
            for (std::size_t i = 0; i < lines.size(); ++i)
                word(left_, top_ + 22 + title_step * static_cast<double>(i), lines[i], WordKind::title);
            const std::vector<std::string> warned = lines_of(caution, right_ - left_, WordKind::line);
            for (std::size_t i = 0; i < warned.size(); ++i)
                word(left_, height_ - top_ - 17 * static_cast<double>(warned.size() - 1 - i), warned[i],
                     WordKind::line);
        }
    }

    const SetPlan& plan_;
    double width_, height_, left_, right_, top_, bottom_;
    std::vector<Sheet> pages_;
    std::size_t page_ = 0;
    double y_ = 0;
};

} // namespace

std::vector<std::string> spots_as_text(std::vector<Spot> spots) {
    std::sort(spots.begin(), spots.end());
    spots.erase(std::unique(spots.begin(), spots.end()), spots.end());
    std::map<int, std::vector<int>> by_sheet;
    for (const Spot& spot : spots) {
        by_sheet[spot.sheet];
        if (spot.path > 0) by_sheet[spot.sheet].push_back(spot.path);
    }
    std::vector<std::string> out;
    constexpr std::size_t most = 3;
    if (by_sheet.size() <= most) {
        for (const auto& [sheet, paths] : by_sheet) {
            std::string text = "sheet " + std::to_string(sheet);
            for (std::size_t i = 0; i < paths.size(); ++i)
                text += (i > 0 ? ", " : paths.size() > 1 ? ", paths " : ", path ") + std::to_string(paths[i]);
            out.push_back(std::move(text));
        }
        if (out.empty()) out.emplace_back("");
        return out;
    }
    std::vector<int> sheets;
    for (const auto& [sheet, paths] : by_sheet) sheets.push_back(sheet);
    std::string text = "sheets ";
    for (std::size_t i = 0; i < sheets.size();) {
        std::size_t end = i;
        while (end + 1 < sheets.size() && sheets[end + 1] == sheets[end] + 1) ++end;
        if (i > 0) text += ", ";
        text += std::to_string(sheets[i]);
        if (end > i) text += (end > i + 1 ? "-" : ", ") + std::to_string(sheets[end]);
        i = end + 1;
    }
    return {text};
}

std::vector<Sheet> contents_pages(const SetPlan& plan, double width, double height, double edge) {
    return Writer(plan, width, height, edge).run();
}

} // namespace loomproof::draw
