#include "bench/factor_peers.hpp"

#ifdef BENCH_SUITESPARSE
#include <cholmod.h>
#include <klu.h>
#endif

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace loomproof::bench {

#ifdef BENCH_SUITESPARSE

namespace {

/// Both triangles: KLU knows no symmetric matrix.
struct Whole {
    std::vector<int> from, row;
    std::vector<std::size_t> entry; ///< by place: which of the lower triangle's it is
    std::vector<double> value;
};
Whole whole(const Lower& m) {
    std::vector<std::vector<std::pair<int, std::size_t>>> columns(static_cast<std::size_t>(m.size));
    for (int c = 0; c < m.size; ++c)
        for (int k = m.from[static_cast<std::size_t>(c)]; k < m.from[static_cast<std::size_t>(c) + 1]; ++k) {
            const int r = m.row[static_cast<std::size_t>(k)];
            columns[static_cast<std::size_t>(c)].emplace_back(r, static_cast<std::size_t>(k));
            if (r != c) columns[static_cast<std::size_t>(r)].emplace_back(c, static_cast<std::size_t>(k));
        }
    Whole out;
    out.from.push_back(0);
    for (auto& column : columns) {
        std::ranges::sort(column);
        for (const auto& [r, k] : column) {
            out.row.push_back(r);
            out.entry.push_back(k);
            out.value.push_back(m.value[k]);
        }
        out.from.push_back(static_cast<int>(out.row.size()));
    }
    return out;
}

struct Klu {
    explicit Klu(const Lower& m) : matrix(whole(m)), size(m.size) {
        klu_defaults(&common);
        symbolic = klu_analyze(size, matrix.from.data(), matrix.row.data(), &common);
        numeric = klu_factor(matrix.from.data(), matrix.row.data(), matrix.value.data(), symbolic, &common);
        if (!numeric) throw std::runtime_error("KLU does not factor this");
    }
    Klu(const Klu&) = delete;
    Klu& operator=(const Klu&) = delete;
    ~Klu() {
        klu_free_numeric(&numeric, &common);
        klu_free_symbolic(&symbolic, &common);
    }
    void numbers(std::span<const double> value) {
        for (std::size_t k = 0; k < matrix.value.size(); ++k) matrix.value[k] = value[matrix.entry[k]];
    }
    Whole matrix;
    int size;
    klu_common common{};
    klu_symbolic* symbolic = nullptr;
    klu_numeric* numeric = nullptr;
};

struct Cholmod {
    explicit Cholmod(const Lower& m) : lower(m) {
        cholmod_start(&common);
        common.supernodal = CHOLMOD_SIMPLICIAL;
        common.final_ll = 0;
        common.print = 0;
        matrix.nrow = matrix.ncol = static_cast<std::size_t>(m.size);
        matrix.nzmax = m.row.size();
        matrix.p = lower.from.data();
        matrix.i = lower.row.data();
        matrix.x = lower.value.data();
        matrix.stype = -1;
        matrix.itype = CHOLMOD_INT;
        matrix.xtype = CHOLMOD_REAL;
        matrix.dtype = CHOLMOD_DOUBLE;
        matrix.sorted = matrix.packed = 1;
        factor = cholmod_analyze(&matrix, &common);
        cholmod_factorize(&matrix, factor, &common);
    }
    Cholmod(const Cholmod&) = delete;
    Cholmod& operator=(const Cholmod&) = delete;
    ~Cholmod() {
        cholmod_free_factor(&factor, &common);
        cholmod_finish(&common);
    }
    void solve(std::vector<double>& right) {
        cholmod_dense b{};
        b.nrow = b.d = b.nzmax = matrix.nrow;
        b.ncol = 1;
        b.x = right.data();
        b.xtype = CHOLMOD_REAL;
        b.dtype = CHOLMOD_DOUBLE;
        cholmod_dense* x = cholmod_solve(CHOLMOD_A, factor, &b, &common);
        std::copy_n(static_cast<const double*>(x->x), right.size(), right.begin());
        cholmod_free_dense(&x, &common);
    }
    void seen(std::vector<double>& ohms) {
        const auto n = static_cast<int>(matrix.nrow);
        cholmod_sparse* unit = cholmod_allocate_sparse(matrix.nrow, 1, 1, 1, 1, 0, CHOLMOD_REAL, &common);
        for (int c = 0; c < n; ++c) {
            static_cast<int*>(unit->p)[0] = 0;
            static_cast<int*>(unit->p)[1] = 1;
            static_cast<int*>(unit->i)[0] = c;
            static_cast<double*>(unit->x)[0] = 1;
            cholmod_sparse* x = cholmod_spsolve(CHOLMOD_A, factor, unit, &common);
            const int* rows = static_cast<const int*>(x->i);
            for (int k = 0; k < static_cast<const int*>(x->p)[1]; ++k)
                if (rows[k] == c) ohms[static_cast<std::size_t>(c)] = static_cast<const double*>(x->x)[k];
            cholmod_free_sparse(&x, &common);
        }
        cholmod_free_sparse(&unit, &common);
    }
    void numbers(std::span<const double> value) { std::ranges::copy(value, lower.value.begin()); }
    void change(std::span<const Change> changes) {
        std::vector<int> place(matrix.nrow); // by row: where it stands in the factor
        for (std::size_t k = 0; k < matrix.nrow; ++k)
            place[static_cast<std::size_t>(static_cast<const int*>(factor->Perm)[k])] = static_cast<int>(k);
        for (const bool more : {true, false}) {
            std::vector<int> from{0}, row;
            std::vector<double> value;
            for (const Change& c : changes) {
                if ((c.siemens > 0) != more) continue;
                std::vector<std::pair<int, double>> column;
                const double root = std::sqrt(std::abs(c.siemens));
                if (c.a >= 0) column.emplace_back(place[static_cast<std::size_t>(c.a)], root);
                if (c.b >= 0) column.emplace_back(place[static_cast<std::size_t>(c.b)], -root);
                std::ranges::sort(column);
                for (const auto& [r, v] : column) row.push_back(r), value.push_back(v);
                from.push_back(static_cast<int>(row.size()));
            }
            cholmod_sparse vectors = matrix;
            vectors.ncol = from.size() - 1;
            vectors.nzmax = row.size();
            vectors.p = from.data();
            vectors.i = row.data();
            vectors.x = value.data();
            vectors.stype = 0;
            if (vectors.ncol > 0) cholmod_updown(more ? 1 : 0, &vectors, factor, &common);
        }
    }
    Lower lower;
    cholmod_common common{};
    cholmod_sparse matrix{};
    cholmod_factor* factor = nullptr;
};

} // namespace

std::vector<FactorPeer> factor_peers(const Lower& m) {
    const auto klu = std::make_shared<Klu>(m);
    const auto cholmod = std::make_shared<Cholmod>(m);
    return {{"KLU",
             [klu](std::span<const double> value) { klu->numbers(value); },
             [klu] {
                 klu_refactor(klu->matrix.from.data(), klu->matrix.row.data(), klu->matrix.value.data(), klu->symbolic,
                              klu->numeric, &klu->common);
             },
             [klu](std::vector<double>& b) {
                 klu_solve(klu->symbolic, klu->numeric, klu->size, 1, b.data(), &klu->common);
             },
             {},
             {}},
            {"CHOLMOD", [cholmod](std::span<const double> value) { cholmod->numbers(value); },
             [cholmod] { cholmod_factorize(&cholmod->matrix, cholmod->factor, &cholmod->common); },
             [cholmod](std::vector<double>& b) { cholmod->solve(b); },
             [cholmod](std::vector<double>& ohms) { cholmod->seen(ohms); },
             [cholmod](std::span<const Change> changes) { cholmod->change(changes); }}};
}

#else

std::vector<FactorPeer> factor_peers(const Lower&) { return {}; }

#endif

} // namespace loomproof::bench
