#!/usr/bin/env bash
# Compiles the core by the cross compilers that are there, as for a board: no C++ library, no exceptions.
# Says the size of the code and how many instructions the functions have that run for every pixel.
#
# What each shows. xtensa-lx106: the very processor of the ESP8266, so its code is what that board would run; it
# is not linked, for the maker's network library is not here. riscv64-unknown-elf as rv32imc and
# arm-none-eabi as Cortex-M0+: that the core builds for other 32-bit processors. The ESP32's Xtensa LX6 is
# compiled by none of them: of that board, nothing is shown.
set -euo pipefail
cd "$(dirname "$0")/.."
out=${OUT:-${TMPDIR:-/tmp}/glowloom-receiver}/cross
mkdir -p "$out"
flags=(-std=c++17 -Os -Wall -Wextra -Werror -Wshadow -Wconversion -ffreestanding -fno-exceptions -fno-rtti
    -fno-threadsafe-statics -ffunction-sections -fdata-sections)
found=0

compile() {
    local prefix=$1
    shift
    if ! command -v "$prefix-g++" >/dev/null; then
        echo "$prefix: not here"
        return
    fi
    found=1
    rm -f "$out"/*.o
    for file in core/*.cpp; do
        "$prefix-g++" "${flags[@]}" "$@" -c "$file" -o "$out/$(basename "$file" .cpp).o"
    done
    "$prefix-size" -t "$out"/*.o | tail -1 |
        awk -v name="$prefix $*" '{ printf "%s: code %d, initialized data %d, zeroed data %d bytes\n", name, $1, $2, $3 }'
    for function in encode_uart encode_quarters encode_rmt encode_parallel encode_clocked Guard4byte Guard6add_up Guard4pass; do
        "$prefix-objdump" -d --no-show-raw-insn "$out"/*.o | awk -v wanted="$function" -v label="$function" '
            /^[0-9a-f]+ <[^.].*>:$/ { inside = index($0, wanted) > 0 }
            inside && /^ +[0-9a-f]+:/ { count++ }
            END { printf "  %s: %d instructions\n", label, count }'
    done
}

compile xtensa-lx106-elf -mlongcalls
compile riscv64-unknown-elf -march=rv32imc -mabi=ilp32
compile arm-none-eabi -mcpu=cortex-m0plus -mthumb
if [ $found = 0 ] && [ "${GLOWLOOM_OUTSIDE:-}" = required ]; then
    echo "no cross compiler is here, and checks by programs outside are wanted" >&2
    exit 1
fi
