#pragma once
/// A value, or the reason why there is none. Spelled like the coming std::expected.

#include <utility>
#include <variant>

namespace gyled::base {

/// Wraps a reason so that `return Unexpected{reason}` cannot be mistaken for a value.
template <class E>
struct Unexpected {
    E error;
};
template <class E>
Unexpected(E) -> Unexpected<E>;

template <class T, class E>
class Result {
public:
    Result(T value) : state_{std::in_place_index<0>, std::move(value)} {}
    template <class G>
    Result(Unexpected<G> failure) : state_{std::in_place_index<1>, std::move(failure.error)} {}

    [[nodiscard]] bool has_value() const { return state_.index() == 0; }
    explicit operator bool() const { return has_value(); }
    [[nodiscard]] const T& value() const& { return std::get<0>(state_); }
    [[nodiscard]] T&& value() && { return std::get<0>(std::move(state_)); }
    [[nodiscard]] const E& error() const { return std::get<1>(state_); }
    const T& operator*() const& { return value(); }
    T&& operator*() && { return std::get<0>(std::move(state_)); }
    const T* operator->() const { return &value(); }

private:
    std::variant<T, E> state_;
};

}  // namespace gyled::base
