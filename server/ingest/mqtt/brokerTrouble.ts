/** What goes wrong with a broker that somebody else runs, in sentences that say what to do. */

export interface Trouble {
  sentence: string
  /** The broker does not know MQTT 5: 3.1.1 may do. */
  olderVersion: boolean
}

/** Return codes of MQTT 3.1.1 (table 3.1) and reason codes of MQTT 5 (table 3-1). */
const UNKNOWN_VERSION = [1, 0x84]
const BAD_CREDENTIALS = [4, 0x86]
const NOT_ALLOWED = [5, 0x87]
const BAD_CLIENT_ID = [2, 0x85]
const NOT_AVAILABLE = [3, 0x88, 0x89]

/** @param url without user and password */
export function troubleOf(error: Error & { code?: number | string }, url: string): Trouble {
  const { code } = error
  const said = (sentence: string): Trouble => ({ sentence, olderVersion: false })
  if (typeof code === 'number') {
    if (UNKNOWN_VERSION.includes(code)) {
      return { sentence: `${url} does not speak this version of MQTT.`, olderVersion: true }
    }
    if (BAD_CREDENTIALS.includes(code)) {
      return said(`${url} refused the user name or password. Correct MQTT_USER and MQTT_PASSWORD and start again.`)
    }
    if (NOT_ALLOWED.includes(code)) {
      return said(
        `${url} does not let this user in. Look at the user name and password (MQTT_USER, MQTT_PASSWORD) and at the rules of the broker.`,
      )
    }
    if (BAD_CLIENT_ID.includes(code)) return said(`${url} does not take the client id of this service.`)
    if (NOT_AVAILABLE.includes(code)) return said(`${url} says that it is not available now. It is tried again.`)
    return said(`${url} refused the connection with reason ${code}. Look at the log of the broker.`)
  }
  switch (code) {
    case 'ECONNREFUSED':
      return said(`Nothing answers at ${url}. Look whether the broker runs and the port is right.`)
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return said(`The name in ${url} is not found. Look at MQTT_URL and at the network.`)
    case 'ETIMEDOUT':
    case 'EHOSTUNREACH':
    case 'ENETUNREACH':
      return said(`${url} cannot be reached. Look at the network and the firewall.`)
    case 'ECONNRESET':
      return said(
        `${url} broke the connection off. A port for TLS wants mqtts:// in MQTT_URL, one without it wants mqtt://.`,
      )
    case 'CERT_HAS_EXPIRED':
      return said(`The certificate of ${url} has expired. Renew it on the broker.`)
    case 'CERT_NOT_YET_VALID':
      return said(`The certificate of ${url} is not valid yet. Look at the clocks of both machines.`)
    case 'ERR_TLS_CERT_ALTNAME_INVALID':
      return said(`The certificate of ${url} is for another name. Use the name it was made for in MQTT_URL.`)
    case 'DEPTH_ZERO_SELF_SIGNED_CERT':
    case 'SELF_SIGNED_CERT_IN_CHAIN':
    case 'UNABLE_TO_VERIFY_LEAF_SIGNATURE':
    case 'UNABLE_TO_GET_ISSUER_CERT_LOCALLY':
    case 'UNABLE_TO_GET_ISSUER_CERT':
      return said(
        `The certificate of ${url} is signed by nobody known here. Name the authority's certificate file in MQTT_CA.`,
      )
    case 'EPROTO':
    case 'ERR_SSL_WRONG_VERSION_NUMBER':
      return said(`${url} does not speak TLS at this port. Use mqtt:// there, or the port for TLS.`)
    default:
      return said(`The connection to ${url} failed: ${error.message}. It is tried again.`)
  }
}
