// Wired network of the ESP32 with a LAN8720 beside it. Never compiled by the maker's kit, nor run on a board.
#include <string.h>

#include "chip.hpp"
#include "settings.hpp"

#if defined(GLOWLOOM_ETHERNET)

#include "esp_eth.h"
#include "esp_event.h"
#include "esp_netif.h"
#include "esp_system.h"
#include "nvs_flash.h"

namespace chip {

using namespace glowloom;

static volatile bool connected = false;
static uint8_t own_address[4] = {};

static void heard(void*, esp_event_base_t base, int32_t id, void* data) {
    if (base == IP_EVENT && id == IP_EVENT_ETH_GOT_IP) {
        memcpy(own_address, &static_cast<ip_event_got_ip_t*>(data)->ip_info.ip.addr, 4);
        connected = true;
    } else if (base == ETH_EVENT && id == ETHERNET_EVENT_DISCONNECTED) {
        connected = false;
    }
}

void begin_network(const char*) {
    nvs_flash_init();
    esp_netif_init();
    esp_event_loop_create_default();
    const esp_netif_config_t config = ESP_NETIF_DEFAULT_ETH();
    esp_netif_t* netif = esp_netif_new(&config);
    eth_mac_config_t mac_config = ETH_MAC_DEFAULT_CONFIG();
    eth_esp32_emac_config_t emac_config = ETH_ESP32_EMAC_DEFAULT_CONFIG();
    eth_phy_config_t phy_config = ETH_PHY_DEFAULT_CONFIG();
    phy_config.phy_addr = settings::PHY_ADDRESS;
    phy_config.reset_gpio_num = settings::PHY_RESET_PIN;
    esp_eth_mac_t* mac = esp_eth_mac_new_esp32(&emac_config, &mac_config);
    esp_eth_phy_t* phy = esp_eth_phy_new_lan87xx(&phy_config);
    esp_eth_config_t eth_config = ETH_DEFAULT_CONFIG(mac, phy);
    esp_eth_handle_t handle = nullptr;
    if (esp_eth_driver_install(&eth_config, &handle) != ESP_OK) return;
    esp_netif_attach(netif, esp_eth_new_netif_glue(handle));
    esp_event_handler_register(IP_EVENT, IP_EVENT_ETH_GOT_IP, heard, nullptr);
    esp_event_handler_register(ETH_EVENT, ETHERNET_EVENT_DISCONNECTED, heard, nullptr);
    esp_eth_start(handle);
}

bool is_connected() { return connected; }
void address(uint8_t* ip) { memcpy(ip, own_address, 4); }
void read_id(uint8_t* id) { esp_read_mac(id, ESP_MAC_ETH); }

Vitals vitals(bool) {
    Vitals vitals = {};
    vitals.free_heap = esp_get_free_heap_size();
    vitals.up_seconds = now_ms() / 1000;
    vitals.model = settings::BOARD;
    vitals.version = settings::VERSION;
    vitals.wall = settings::WALL;
    return vitals;
}

}  // namespace chip

#endif
