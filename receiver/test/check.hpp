// Checks for tests: each says what it wanted, and the program ends with 1 where one fails.
#ifndef GLOWLOOM_CHECK_HPP
#define GLOWLOOM_CHECK_HPP

#include <cstdio>

namespace check {

inline int failed = 0, made = 0;

template <class A, class B>
void equal(const A& found, const B& wanted, const char* what, const char* file, int line) {
    ++made;
    if (found == wanted) return;
    ++failed;
    std::fprintf(stderr, "%s:%d: %s: found %lld, wanted %lld\n", file, line, what,
                 static_cast<long long>(found), static_cast<long long>(wanted));
}

inline void holds(bool found, const char* what, const char* file, int line) {
    ++made;
    if (found) return;
    ++failed;
    std::fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, what);
}

}  // namespace check

#define CHECK_EQ(found, wanted) check::equal((found), (wanted), #found, __FILE__, __LINE__)
#define CHECK(what) check::holds((what), #what, __FILE__, __LINE__)

#endif
