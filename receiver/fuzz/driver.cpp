// Where there is no libFuzzer: seeds, changed by chance, for so many seconds. The chance is a number handed in, so
// that what was found is found again; an input that takes more than ten seconds is a fault as well.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size);

namespace {

using Input = std::vector<uint8_t>;

void change(Input& input, const std::vector<Input>& seeds, std::mt19937& chance) {
    for (unsigned times = 1 + chance() % 6; times > 0; --times) {
        const size_t at = input.empty() ? 0 : chance() % input.size();
        switch (chance() % 7) {
            case 0:
                if (!input.empty()) input[at] = static_cast<uint8_t>(chance());
                break;
            case 1:
                if (!input.empty()) input[at] = static_cast<uint8_t>(input[at] ^ (1 << chance() % 8));
                break;
            case 2:
                input.resize(at);
                break;
            case 3:
                input.insert(input.begin() + static_cast<long>(at), 1 + chance() % 40, static_cast<uint8_t>(chance()));
                break;
            case 4: {
                const Input& other = seeds[chance() % seeds.size()];
                input.insert(input.end(), other.begin(), other.end());
                break;
            }
            case 5:
                if (!input.empty()) input[0] = static_cast<uint8_t>(chance());
                break;
            default:
                if (!input.empty()) input[at] = static_cast<uint8_t>(input[at] + (chance() % 2 == 0 ? 1 : 255));
        }
    }
    if (input.size() > 8192) input.resize(8192);
}

}  // namespace

int main(int count, char** arguments) {
    if (count < 3) return 2;
    std::vector<Input> seeds;
    for (const auto& entry : std::filesystem::directory_iterator(arguments[1])) {
        std::ifstream file(entry.path(), std::ios::binary);
        seeds.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    }
    if (seeds.empty()) return 2;
    std::mt19937 chance(count > 3 ? static_cast<unsigned>(std::atoi(arguments[3])) : 1);
    using Clock = std::chrono::steady_clock;
    const auto end = Clock::now() + std::chrono::seconds(std::atoi(arguments[2]));
    unsigned long inputs = 0;
    for (; Clock::now() < end; ++inputs) {
        Input input = seeds[chance() % seeds.size()];
        if (inputs >= seeds.size()) change(input, seeds, chance);
        const auto began = Clock::now();
        LLVMFuzzerTestOneInput(input.data(), input.size());
        if (Clock::now() - began > std::chrono::seconds(10)) {
            std::fprintf(stderr, "input %lu took more than 10 s\n", inputs);
            return 1;
        }
    }
    std::printf("%lu inputs, no fault\n", inputs);
    return 0;
}
