/** `underjoist/<logger>/receipt`: which of its numbered messages are here, so that it forgets those and sends the rest again. */
import type { LoggerReceipt } from '../../store/arrivals.ts'

export const receiptText = ({ run, through, beyond }: LoggerReceipt): string => JSON.stringify({ run, through, beyond })
