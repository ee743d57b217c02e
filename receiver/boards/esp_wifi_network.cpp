// Wi-Fi of both chips. Never compiled by the maker's kit, nor run on a board.
#include <string.h>

#include "chip.hpp"
#include "esp_event.h"
#include "esp_netif.h"
#include "esp_system.h"
#include "esp_wifi.h"
#include "nvs_flash.h"
#include "settings.hpp"

#if !defined(GLOWLOOM_ETHERNET)

namespace chip {

using namespace glowloom;

static volatile bool connected = false;
static uint8_t own_address[4] = {};

static void heard(void*, esp_event_base_t base, int32_t id, void* data) {
    if (base == IP_EVENT && id == IP_EVENT_STA_GOT_IP) {
        memcpy(own_address, &static_cast<ip_event_got_ip_t*>(data)->ip_info.ip.addr, 4);
        connected = true;
    } else if (base == WIFI_EVENT && id == WIFI_EVENT_STA_DISCONNECTED) {
        connected = false;
    }
}

void begin_network(const char*) {
    // The kit's store, where the network's password lies; never logged.
    if (nvs_flash_init() != ESP_OK) {
        nvs_flash_erase();
        nvs_flash_init();
    }
    esp_netif_init();
    esp_event_loop_create_default();
#if !defined(GLOWLOOM_ESP8266)
    esp_netif_create_default_wifi_sta();
    esp_netif_create_default_wifi_ap();
#endif
    wifi_init_config_t config = WIFI_INIT_CONFIG_DEFAULT();
    esp_wifi_init(&config);
    esp_wifi_set_storage(WIFI_STORAGE_FLASH);
    esp_event_handler_register(WIFI_EVENT, WIFI_EVENT_STA_DISCONNECTED, heard, nullptr);
    esp_event_handler_register(IP_EVENT, IP_EVENT_STA_GOT_IP, heard, nullptr);
    esp_wifi_set_mode(WIFI_MODE_STA);
    esp_wifi_start();
    // Packets come when they are sent, not when the radio wakes.
    esp_wifi_set_ps(WIFI_PS_NONE);
}

bool is_connected() { return connected; }
void address(uint8_t* ip) { memcpy(ip, own_address, 4); }

bool knows_network() {
    wifi_config_t kept = {};
    return esp_wifi_get_config(WIFI_IF_STA, &kept) == ESP_OK && kept.sta.ssid[0] != 0;
}

void keep_network(const Network& network) {
    wifi_config_t config = {};
    memcpy(config.sta.ssid, network.name, sizeof config.sta.ssid);
    memcpy(config.sta.password, network.password, sizeof config.sta.password);
    esp_wifi_set_config(WIFI_IF_STA, &config);
    memset(&config, 0, sizeof config);
    esp_wifi_disconnect();
    esp_wifi_connect();
}

void join() { esp_wifi_connect(); }

void open_own_network(const char* name, const char* password) {
    wifi_config_t config = {};
    strncpy(reinterpret_cast<char*>(config.ap.ssid), name, sizeof config.ap.ssid - 1);
    strncpy(reinterpret_cast<char*>(config.ap.password), password, sizeof config.ap.password - 1);
    config.ap.ssid_len = static_cast<uint8_t>(strlen(name));
    config.ap.authmode = WIFI_AUTH_WPA2_PSK;
    config.ap.max_connection = 2;
    // Not into flash: it is gone with the power.
    esp_wifi_set_storage(WIFI_STORAGE_RAM);
    esp_wifi_set_mode(WIFI_MODE_APSTA);
    esp_wifi_set_config(WIFI_IF_AP, &config);
    esp_wifi_set_storage(WIFI_STORAGE_FLASH);
    memset(&config, 0, sizeof config);
}

void close_own_network() { esp_wifi_set_mode(WIFI_MODE_STA); }

void read_id(uint8_t* id) { esp_read_mac(id, ESP_MAC_WIFI_STA); }

Vitals vitals(bool is_up) {
    Vitals vitals = {};
    vitals.free_heap = esp_get_free_heap_size();
    vitals.up_seconds = now_ms() / 1000;
    vitals.model = settings::BOARD;
    vitals.version = settings::VERSION;
    vitals.wall = settings::WALL;
    wifi_ap_record_t heard_from = {};
    if (is_up && esp_wifi_sta_get_ap_info(&heard_from) == ESP_OK) vitals.signal_dbm = heard_from.rssi;
    return vitals;
}

}  // namespace chip

#endif
