// What both chips have in common in their maker's kit: time, flash, crypto, update, serial line, DNS-SD.
//
// Written from the kit's documentation; never compiled by the kit itself, nor run on a board.
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "../core/bytes.hpp"
#include "chip.hpp"
#include "driver/uart.h"
#include "esp_ota_ops.h"
#include "esp_partition.h"
#include "esp_system.h"
#include "esp_task_wdt.h"
#include "esp_timer.h"
#include "mbedtls/md.h"
#include "mbedtls/sha256.h"
#include "mdns.h"
#include "settings.hpp"

namespace chip {

using namespace glowloom;

uint32_t now_ms() { return static_cast<uint32_t>(esp_timer_get_time() / 1000); }

Reset reset_reason() {
    switch (esp_reset_reason()) {
        case ESP_RST_POWERON:
            return Reset::Power;
        case ESP_RST_SW:
            return Reset::Software;
        case ESP_RST_INT_WDT:
        case ESP_RST_TASK_WDT:
        case ESP_RST_WDT:
            return Reset::Watchdog;
        case ESP_RST_BROWNOUT:
            return Reset::BrownOut;
        case ESP_RST_PANIC:
            return Reset::Crash;
        default:
            return Reset::Unknown;
    }
}

void restart() { esp_restart(); }
void feed_watchdog() { esp_task_wdt_reset(); }

void read_firmware(uint8_t* to) {
    uint8_t digest[32] = {};
    const esp_partition_t* running = esp_ota_get_running_partition();
    if (running != nullptr && esp_partition_get_sha256(running, digest) == ESP_OK) copy(to, digest, 8);
}

// Two sectors of a partition of its own.
class Sectors final : public Flash {
 public:
    bool read(uint8_t place, size_t offset, uint8_t* to, size_t size) override {
        return find() && esp_partition_read(found_, place * SECTOR + offset, to, size) == ESP_OK;
    }
    bool erase(uint8_t place) override {
        return find() && esp_partition_erase_range(found_, place * SECTOR, SECTOR) == ESP_OK;
    }
    bool write(uint8_t place, size_t offset, const uint8_t* from, size_t size) override {
        return find() && esp_partition_write(found_, place * SECTOR + offset, from, size) == ESP_OK;
    }

 private:
    static constexpr size_t SECTOR = 4096;
    bool find() {
        if (found_ == nullptr) {
            found_ = esp_partition_find_first(ESP_PARTITION_TYPE_DATA, ESP_PARTITION_SUBTYPE_ANY, "identity");
        }
        return found_ != nullptr;
    }
    const esp_partition_t* found_ = nullptr;
};

Flash& flash() {
    static Sectors sectors;
    return sectors;
}

static void hmac(void*, const uint8_t* key, Bytes message, uint8_t* tag) {
    const mbedtls_md_info_t* sha256 = mbedtls_md_info_from_type(MBEDTLS_MD_SHA256);
    // Without a tag that is made, none fits: an order is then passed over.
    if (mbedtls_md_hmac(sha256, key, orders::KEY, message.at, message.size, tag) != 0) {
        esp_fill_random(tag, orders::TAG);
    }
}
static void chance(void*, uint8_t* to, size_t size) { esp_fill_random(to, size); }

const orders::Crypto CRYPTO = {hmac, chance, nullptr};

void begin_serial() {
    uart_config_t config = {};
    config.baud_rate = settings::BAUD;
    config.data_bits = UART_DATA_8_BITS;
    config.parity = UART_PARITY_DISABLE;
    config.stop_bits = UART_STOP_BITS_1;
    config.flow_ctrl = UART_HW_FLOWCTRL_DISABLE;
    uart_param_config(UART_NUM_0, &config);
    uart_driver_install(UART_NUM_0, 2048, 512, 0, nullptr, 0);
}
bool read_serial(uint8_t* byte) { return uart_read_bytes(UART_NUM_0, byte, 1, 0) == 1; }
void write_serial(const uint8_t* from, size_t size) {
    uart_write_bytes(UART_NUM_0, reinterpret_cast<const char*>(from), size);
}

// Members as docs/protocols.md has them; a board that is not assigned is found by orders alone.
void announce(const Device& device) {
    static bool begun = false;
    if (!begun && mdns_init() != ESP_OK) return;
    begun = true;
    mdns_service_remove_all();
    if (!device.is_assigned()) return;
    const Assignment& assignment = device.assignment();
    const char* const protocols[] = {"e1.31", "art-net", "ddp"};
    char print[9];
    snprintf(print, sizeof print, "%08lx", static_cast<unsigned long>(status::print(assignment)));
    mdns_txt_item_t items[] = {
        {"txtvers", "1"},
        {"wall", settings::WALL},
        {"panel", assignment.name},
        {"protocol", protocols[static_cast<uint8_t>(assignment.protocol) - 1]},
        {"print", print},
        {"mod", settings::BOARD},
        {"ver", settings::VERSION},
    };
    mdns_hostname_set(assignment.name);
    mdns_service_add(assignment.name, "_glowloom", "_udp", device.port(), items, sizeof items / sizeof items[0]);
}

// The digest came in an order that the wall's key signed; a program with another is never started.
void take_update(uint32_t size, const uint8_t* digest) {
    const esp_partition_t* to = esp_ota_get_next_update_partition(nullptr);
    esp_ota_handle_t handle = 0;
    if (to == nullptr || size == 0 || size > to->size || esp_ota_begin(to, size, &handle) != ESP_OK) return;
    const int listening = socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in at = {};
    at.sin_family = AF_INET;
    at.sin_port = htons(orders::PORT);
    at.sin_addr.s_addr = htonl(INADDR_ANY);
    timeval patience = {30, 0};
    setsockopt(listening, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    bind(listening, reinterpret_cast<sockaddr*>(&at), sizeof at);
    listen(listening, 1);
    const int from = accept(listening, nullptr, nullptr);
    close(listening);
    if (from < 0) {
        esp_ota_abort(handle);
        return;
    }
    setsockopt(from, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    mbedtls_sha256_context hash;
    mbedtls_sha256_init(&hash);
    bool good = mbedtls_sha256_starts(&hash, 0) == 0;
    uint32_t left = size;
    uint8_t piece[512];
    while (good && left > 0) {
        feed_watchdog();
        const auto got = recv(from, piece, left < sizeof piece ? left : sizeof piece, 0);
        good = got > 0 && esp_ota_write(handle, piece, static_cast<size_t>(got)) == ESP_OK &&
               mbedtls_sha256_update(&hash, piece, static_cast<size_t>(got)) == 0;
        left -= good ? static_cast<uint32_t>(got) : 0;
    }
    close(from);
    uint8_t found[32] = {};
    good = good && mbedtls_sha256_finish(&hash, found) == 0 && same_secret(found, digest, 32);
    mbedtls_sha256_free(&hash);
    if (!good) {
        esp_ota_abort(handle);
        return;
    }
    if (esp_ota_end(handle) == ESP_OK && esp_ota_set_boot_partition(to) == ESP_OK) esp_restart();
}

}  // namespace chip
