// @ts-check
import { drawWhenLifted } from "../../parts/under_finger.js";

/** Check-in: the list is fresh every few seconds, and while a name is typed; never under a finger. */

drawWhenLifted();
