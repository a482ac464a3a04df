"""One lock round all use of the netCDF library, which two threads must not enter at once."""

import threading

#: Held for every call into the library; a thread that holds it may take it again.
NETCDF_LOCK = threading.RLock()
