package control

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"bathtender/firmware/fileerror"
)

// Ask asks once over the socket at a path, for a start, a stop or a reset, and
// returns what came of it. The error is also that it was refused.
func Ask(path string, asked Asked) (string, error) {
	conn, err := net.Dial("unix", path)
	if err != nil {
		return "", fmt.Errorf("nobody answers at %s, is the program running? %w", path, fileerror.Cause(err))
	}
	defer conn.Close()
	line, err := json.Marshal(asked)
	if err != nil {
		return "", err
	}
	_ = conn.SetDeadline(time.Now().Add(answerMost + idleMost))
	if _, err := conn.Write(append(line, '\n')); err != nil {
		return "", fmt.Errorf("the program at %s has hung up: %w", path, fileerror.Cause(err))
	}
	answer, err := bufio.NewReader(io.LimitReader(conn, 1<<20)).ReadBytes('\n')
	if err != nil {
		return "", fmt.Errorf("the program at %s has hung up without an answer: %w", path, fileerror.Cause(err))
	}
	var reply Reply
	if err := json.Unmarshal(answer, &reply); err != nil {
		return "", fmt.Errorf("the answer at %s is none of this program's: %w", path, err)
	}
	if !reply.OK {
		return "", errors.New(reply.Error)
	}
	return reply.Text, nil
}
