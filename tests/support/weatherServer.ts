/** A weather service on this machine, answering as a test says, and keeping what it was asked. */
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { onTestFinished } from 'vitest'

export interface WeatherServer {
  /** Such as http://127.0.0.1:40123 */
  origin: string
  asked: { url: string; headers: IncomingMessage['headers'] }[]
  answer: (request: IncomingMessage, response: ServerResponse) => void
}

export async function weatherServer(answer: WeatherServer['answer']): Promise<WeatherServer> {
  const given: WeatherServer = { origin: '', asked: [], answer }
  const server = createServer((request, response) => {
    given.asked.push({ url: request.url ?? '', headers: request.headers })
    given.answer(request, response)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  onTestFinished(() => {
    server.closeAllConnections()
    server.close()
  })
  given.origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
  return given
}

/** Hourly rows of plain weather, times in UTC and marked so. */
export function weatherTable(from: number, hours: number, { tempC = 21, rain = true } = {}): string {
  const rows = Array.from({ length: hours }, (_, h) => {
    const time = new Date(from + h * 3_600_000).toISOString().replace('.000', '')
    return `${time},${(tempC + (h % 24) / 10).toFixed(1)},${60 + (h % 20)}${rain ? `,${h % 6 === 0 ? '0.4' : '0.0'}` : ''}`
  })
  return [`time,temperature °C,relative humidity %${rain ? ',rain mm' : ''}`, ...rows, ''].join('\n')
}
