// Stands for the kit's header of this name.
#include "declared.h"
